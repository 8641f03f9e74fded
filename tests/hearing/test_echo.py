"""The echo canceller: our own voice out, the technician's in."""

import numpy as np
import pytest

from assistant.hearing.echo import HOP, EchoCanceller

RATE_HZ = 16_000


def voice(seed, seconds):
    """Something as loud and as broken up as speech: coloured noise in syllables. Floats, of full scale 1."""
    random = np.random.default_rng(seed)
    frames = int(seconds * RATE_HZ)
    spectrum = np.fft.rfft(random.standard_normal(frames))
    spectrum *= 1 / np.maximum(np.fft.rfftfreq(frames, 1 / RATE_HZ), 200.0)
    sound = np.fft.irfft(spectrum, frames)
    syllables = np.repeat(random.uniform(0.05, 1.0, frames // 1600 + 1), 1600)[:frames]
    return 0.1 * sound * syllables / np.sqrt((sound**2).mean())


def shop(seed, seconds):
    """A noise with the colour of speech that never stops, as loud as `voice` at its loudest."""
    random = np.random.default_rng(seed)
    frames = int(seconds * RATE_HZ)
    spectrum = np.fft.rfft(random.standard_normal(frames))
    sound = np.fft.irfft(spectrum / np.maximum(np.fft.rfftfreq(frames, 1 / RATE_HZ), 200.0), frames)
    return 0.1 * sound / np.sqrt((sound**2).mean())


def room(seed, lead=800):
    """The way from speaker to microphone: a delay, a direct sound, a tail of a quarter second."""
    random = np.random.default_rng(seed)
    tail = random.standard_normal(4000) * 10 ** (-3 * np.arange(4000) / 4000) * 0.05
    tail[0] = 0.5
    return np.concatenate([np.zeros(lead), tail])


def through(way, played):
    """What comes back."""
    return np.convolve(played, way)[: len(played)]


def samples(sound):
    """Full scale 1 to int16."""
    return np.clip(sound * 32_768, -32_768, 32_767).astype(np.int16)


def cleaned(canceller, heard, played, block=320):
    """The whole sound, block by block."""
    return np.concatenate(
        [canceller.clean(heard[at : at + block], played[at : at + block]) for at in range(0, len(heard), block)]
    )


def decibels(after, before):
    """How much quieter."""
    return 10 * np.log10((before.astype(float) ** 2).mean() / ((after.astype(float) ** 2).mean() + 1e-9))


def octave(sound, low_hz):
    """The part of the sound from there to twice as high."""
    spectrum, hz = np.fft.rfft(sound), np.fft.rfftfreq(len(sound), 1 / RATE_HZ)
    return np.fft.irfft(spectrum * ((hz >= low_hz) & (hz < 2 * low_hz)), len(sound))


def test_our_own_voice_is_taken_out():
    """From the first second on at least 20 dB of it are gone, and the more is known of the room the more."""
    played = voice(1, 8)
    heard = samples(through(room(2), played))
    out = cleaned(EchoCanceller(), heard, samples(played))
    seconds = [decibels(out[at : at + RATE_HZ], heard[at : at + RATE_HZ]) for at in range(0, 7 * RATE_HZ, RATE_HZ)]
    assert min(seconds) > 20.0, seconds


def test_another_voice_over_ours_stays_as_it_is():
    """Twice as loud as our echo it comes out one hop late with less than a thirtieth of its power changed."""
    played = voice(1, 8)
    other = np.zeros(len(played))
    other[5 * RATE_HZ : 6 * RATE_HZ] = 2 * voice(7, 1)
    heard = samples(0.5 * through(room(2), played) + other)
    out = cleaned(EchoCanceller(), heard, samples(played)).astype(float)
    part = slice(5 * RATE_HZ, 6 * RATE_HZ)
    late = out[5 * RATE_HZ + HOP : 6 * RATE_HZ + HOP]
    assert decibels(late - samples(other)[part], samples(other)[part]) > 15.0


@pytest.mark.parametrize("softer_db", [0, 12])
@pytest.mark.parametrize("noise_db", [-40, -15, -9])
def test_over_a_headset_a_word_in_noise_stays_as_it_is(noise_db, softer_db):
    """Where nothing of ours comes back no band from 100 to 6,000 Hz of a word in noise changes by a decibel."""
    played = np.concatenate([np.zeros(RATE_HZ), voice(1, 5)])
    word = slice(4 * RATE_HZ, 4 * RATE_HZ + RATE_HZ // 2)
    sound = 10 ** (noise_db / 20) * shop(5, 6)
    sound[word] += voice(7, 0.5)
    heard = samples(sound * 10 ** (-softer_db / 20))
    out = cleaned(EchoCanceller(), heard, samples(played), block=512)
    before, after = heard[word].astype(float), out[word.start + HOP : word.stop + HOP].astype(float)
    changes = [decibels(octave(after, low), octave(before, low)) for low in (100, 200, 400, 800, 1500, 3000)]
    assert max(map(abs, changes)) < 1.0, changes


def test_nothing_of_our_voice_is_put_into_a_headset():
    """From what the technician says the canceller learns by chance; afterwards what comes out is what came in, 15 dB
    above the difference."""
    played = np.concatenate([np.zeros(RATE_HZ), voice(1, 7)])
    sound = 0.003 * np.random.default_rng(5).standard_normal(len(played))
    sound[2 * RATE_HZ : 5 * RATE_HZ] += voice(7, 3)
    heard = samples(sound)
    out = cleaned(EchoCanceller(), heard, samples(played), block=512)
    after = slice(5 * RATE_HZ + RATE_HZ // 10, 7 * RATE_HZ)
    difference = out[after.start + HOP : after.stop + HOP].astype(float) - heard[after]
    assert decibels(difference, heard[after]) > 15.0


def test_the_noise_of_the_shop_goes_on_under_our_voice():
    """A detector of speech takes holes in the noise for speech: the canceller leaves none of 3 dB over a headset."""
    played = np.concatenate([np.zeros(RATE_HZ), voice(1, 5)])
    heard = samples(0.2 * shop(5, 6))
    out = cleaned(EchoCanceller(), heard, samples(played), block=512)
    part = slice(2 * RATE_HZ, 6 * RATE_HZ - HOP)
    assert abs(decibels(out[part], heard[part])) < 3.0


def test_a_headset_pulled_out_does_not_let_our_voice_in_for_long():
    """Four seconds after the loud-speaker took over its echo is 15 dB down."""
    played = voice(1, 12)
    noise = 0.002 * np.random.default_rng(5).standard_normal(len(played))
    echo = through(room(2), played) * (np.arange(len(played)) >= 4 * RATE_HZ)
    out = cleaned(EchoCanceller(), samples(echo + noise), samples(played))
    after = slice(8 * RATE_HZ, len(out))
    assert decibels(out[after], samples(echo + noise)[after]) > 15.0


def test_a_muted_microphone_is_not_taken_for_a_headset():
    """Zeros tell nothing of the room: once it is on again the first second of our voice is 8 dB down."""
    played = voice(1, 8)
    heard = samples(through(room(2), played) * (np.arange(len(played)) >= 4 * RATE_HZ))
    out = cleaned(EchoCanceller(), heard, samples(played))
    after = slice(4 * RATE_HZ, 5 * RATE_HZ)
    assert decibels(out[after], heard[after]) > 8.0


def test_a_sentence_after_a_silence_is_taken_out_from_its_beginning():
    """Streams that begin anew are some samples off: the first half second of the next sentence is 15 dB down all the
    same."""
    first, second = voice(1, 6), voice(4, 2)
    silent = np.zeros(RATE_HZ * 3 // 2)
    heard = np.concatenate([through(room(2), first), silent, through(room(2, lead=808), second)])
    heard += 0.001 * np.random.default_rng(5).standard_normal(len(heard))
    out = cleaned(EchoCanceller(), samples(heard), samples(np.concatenate([first, silent, second])))
    begins = len(first) + len(silent) + 808
    part = slice(begins, begins + RATE_HZ // 2)
    assert decibels(out[part], samples(heard)[part]) > 15.0


def test_another_room_is_learnt_within_seconds():
    """After the hood closes the echo is back under control two seconds later."""
    played = voice(1, 10)
    half = len(played) // 2
    heard = samples(np.concatenate([through(room(2), played)[:half], through(room(9, lead=300), played)[half:]]))
    out = cleaned(EchoCanceller(), heard, samples(played))
    after = slice(half + 2 * RATE_HZ, len(out))
    assert decibels(out[after], heard[after]) > 15.0


@pytest.mark.parametrize("played", [None, np.zeros(3_777, np.int16)])
def test_while_we_are_silent_the_sound_comes_as_it_is(played):
    """Whatever the length of a block: every sample at once, none changed."""
    canceller = EchoCanceller()
    heard = samples(voice(3, 1))[:3_777]
    assert np.array_equal(canceller.clean(heard, played), heard)
    assert canceller.waiting == 0


def test_a_while_after_we_fell_silent_the_sound_comes_as_it_is_again():
    """Nothing is lost in going back: what waited comes too."""
    canceller = EchoCanceller()
    played = np.concatenate([samples(voice(1, 1)), np.zeros(2 * RATE_HZ, np.int16)])
    heard = samples(voice(3, 3))
    out = cleaned(canceller, heard, played, block=500)
    assert np.array_equal(out[-RATE_HZ // 2 :], heard[-RATE_HZ // 2 :])
    assert len(out) + canceller.waiting == len(heard)


@pytest.mark.parametrize("block", [100, 512, 20_000])
def test_the_length_of_blocks_does_not_matter(block):
    """The same sound comes out, whatever the microphone's buffer."""
    played, heard = samples(voice(1, 2)), samples(through(room(2), voice(1, 2)))
    usual = cleaned(EchoCanceller(), heard, played)
    other = cleaned(EchoCanceller(), heard, played, block)
    length = min(len(usual), len(other))
    assert np.array_equal(usual[:length], other[:length])


def test_full_scale_and_silence_do_it_no_harm():
    """Clipped sound and plain zeros come out finite and inside the range."""
    canceller = EchoCanceller()
    loud = np.where(np.arange(RATE_HZ) % 90 < 45, 32_767, -32_768).astype(np.int16)
    for heard, played in ((loud, loud), (np.zeros_like(loud), loud), (loud, np.zeros_like(loud))):
        assert np.abs(cleaned(canceller, heard, played).astype(int)).max(initial=0) <= 32_768
