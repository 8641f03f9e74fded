"""Words of the shop that mean the same when results are compared, words that mean nothing there, and negations.

Plain English of the trade, our own choice; no source.
"""

from __future__ import annotations

_NEGATIONS = (
    "no not nope nah never nothing none nobody without neither nor zero zip nada isn't aren't doesn't don't didn't "
    "wasn't weren't hasn't haven't won't can't couldn't wouldn't cannot ain't hardly barely isnt arent doesnt dont "
    "didnt wasnt werent hasnt havent wont cant couldnt wouldnt aint"
)
NEGATIONS = frozenset(_NEGATIONS.split())

_EMPTY = (
    "a an the this that these those it its it's that's there's they're she's he's i'm i've i'd we've we're you're is "
    "are was were be been am do does did has have had having i you he she we they them him her me my your our their "
    "there here and or but so then to of at on in for with from by as if when while just only really very quite "
    "pretty kind sort bit little like well okay ok alright right uh um er ah oh yeah yep yes sure now again still "
    "please thanks boss mate man sir think guess say see seems seem looks look sounds sound would could should can "
    "will got get getting gets all about some any much more than what which how too also even actually thing"
)
EMPTY_WORDS = frozenset(_EMPTY.split())

SENSES = (
    "fuel gas gasoline petrol juice",
    "spark sparks sparking arc",
    "broken busted bust broke snapped cracked split torn damaged ruined",
    "corroded corrosion crusty green furry white rusty rusted rust oxidized",
    "loose wobbly moves wobbles slack wiggles sloppy",
    "tight snug solid firm secure",
    "clean spotless shiny bright",
    "dirty filthy grimy gunked mucky gummed",
    "good fine perfect healthy great okay decent",
    "bad poor terrible shot junk toast knackered",
    "dead silent quiet silence gone",
    "blown burned burnt popped melted cooked",
    "whole intact unbroken",
    "wet soaked damp drenched soaking moist",
    "dry bone",
    "weak faint feeble thin yellow orange dim low",
    "strong fat blue hot snappy crisp healthy",
    "start starts started fire fires fired firing catch catches caught run runs ran running lit",
    "stall stalls stalled die dies died quit quits cuts cut",
    "slow slowly sluggish lazy labored dragging drags",
    "fast quick quickly rapid brisk",
    "hum hums humming buzz buzzes buzzing whir whirring whine whining whirs",
    "click clicks clicking clack clacks tick ticks ticking clunk",
    "turn turns turning spin spins spinning crank cranks cranking rotates rotating",
    "smell smells stink stinks reek reeks odor whiff",
    "leak leaks leaking drip drips dripping seep seeping puddle",
    "lamp light lights bulb indicator",
    "lit glows glowing burning shines",
    "flash flashes flashing blink blinks blinking flicker flickers flickering",
    "steady constant solid continuous",
    "empty dry bare",
    "full plenty topped",
    "swollen bulged bulging puffed",
    "connector plug connection",
    "wire wires lead leads cable cables wiring",
    "same unchanged different difference change changed",
    "cannot unable impossible",
    "know knows sure certain idea clue tell",
    "crack cracks hairline",
    "rough uneven lumpy irregular jerky",
    "smooth even regular",
    "moved moves moving jumps jumped wiggled twitches",
    "cloudy milky murky hazy",
    "clear see-through transparent",
    "diesel oil-burner",
    "automatic auto slushbox",
    "manual stick clutch",
    "four 4",
    "six 6",
    "eight 8",
    "three 3",
)
"""Each line is one sense; its first word names it."""
