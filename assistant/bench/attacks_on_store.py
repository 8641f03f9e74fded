"""Attacks on the store and its sound. Each changes a world; the checks are those of `jobs verify`."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from assistant.adapters.clips_wav import WavClips
from assistant.adapters.journal_sqlite import FILE_NAME, SqliteJournal
from assistant.adapters.journal_sqlite.log import add_leaves
from assistant.bench.attack_world import (
    CLIP,
    ENDED,
    OPEN,
    OTHER,
    World,
    moment,
    number_of,
    rebuild_log,
    rewrite,
    utc,
)
from assistant.facts import Fact, JobStarted, ReadingLogged
from assistant.record.chain import canonical
from assistant.record.clips import clip_name, clips_place
from assistant.record.log import removed_leaf
from assistant.record.verify import Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class Attack:
    """`on`: what it is made on. `does`: changes the world; what it returns, the program itself has said meanwhile.

    `why_not`: where nothing can find it, why; empty for all that must be found. `paper`: the report or export whose
    comparison is looked at besides, under `World.out`; `job`: the one it is handed in for.
    """

    name: str
    on: str
    does: Callable[[World], Verdict | None]
    why_not: str = ""
    paper: str = f"{ENDED}.html"
    job: str = ENDED


def noticed(words: str) -> Verdict:
    """What the program said, as the answer of a check; nothing where it said nothing."""
    return Verdict(wrong=(words,) if words else ())


def _reading(body: str) -> str:
    return body.replace('"value":12.4', '"value":12.9')


def _in_place(world: World) -> None:
    with world.sql() as store:
        store.execute("UPDATE facts SET body = replace(body, '12.4', '12.9') WHERE number = 6")


def _rewritten(world: World) -> None:
    with world.sql() as store:
        rewrite(store, ENDED, _reading)


def _rewritten_with_log(world: World) -> None:
    with world.sql() as store:
        rewrite(store, ENDED, _reading)
        rebuild_log(store, None)


def _by_the_key_holder(world: World) -> None:
    with world.sql() as store:
        rewrite(store, ENDED, _reading)
        rebuild_log(store, world.key())


def _by_whoever_has_the_account(world: World) -> None:
    _by_the_key_holder(world)
    world.seen.forget()


def _another_job_by_the_account(world: World) -> None:
    """What is handed in later is a report of a job that nobody touched."""
    with world.sql() as store:
        job_no = number_of(store, OTHER)
        for table in ("facts", "personal", "summaries", "said", "signs", "jobs"):
            store.execute(f"DELETE FROM {table} WHERE job_no = ?", (job_no,))
        rebuild_log(store, world.key())
    world.seen.forget()
    (world.out / "all.jsonl").unlink()


def _before_anything_left(world: World) -> None:
    with world.sql() as store:
        rewrite(store, OPEN, _reading)
        rebuild_log(store, world.key())
    world.seen.forget()
    shutil.rmtree(world.out)


def _cut(world: World) -> None:
    with world.sql() as store:
        store.execute("DELETE FROM facts WHERE number > 6 AND job_no = ?", (number_of(store, ENDED),))


def _cut_with_log(world: World) -> None:
    with world.sql() as store:
        store.execute("DELETE FROM facts WHERE number > 6 AND job_no = ?", (number_of(store, ENDED),))
        rebuild_log(store, None)


def _delete(world: World, *, log: bool) -> None:
    with world.sql() as store:
        job_no = number_of(store, ENDED)
        for table in ("facts", "personal", "summaries", "said", "signs", "jobs"):
            store.execute(f"DELETE FROM {table} WHERE job_no = ?", (job_no,))
        if log:
            rebuild_log(store, None)


def _nulled(world: World) -> None:
    with world.sql() as store:
        store.execute(
            "UPDATE personal SET salt = NULL, value = NULL, removed_utc = ? WHERE belongs = 'words'", (utc(),)
        )
        store.execute("UPDATE said SET words = '' WHERE belongs = 'words'")


def _nulled_with_leaf(world: World) -> None:
    _nulled(world)
    with world.sql() as store:
        leaf = removed_leaf(ENDED, 9, [(7, "/words"), (7, "/hearing/clip")], world.key().key, utc())
        left_over = store.execute("SELECT signature FROM log_head").fetchone()
        add_leaves(store, [(number_of(store, ENDED), leaf)])
        store.execute("UPDATE log_head SET signature = ?", left_over)


def sql(*statements: str) -> Callable[[World], None]:
    """An attack by these statements, past the program."""

    def attack(world: World) -> None:
        with world.sql() as store:
            for statement in statements:
                store.execute(statement)

    return attack


def _other_text(world: World) -> None:
    with world.sql() as store:
        store.execute("UPDATE texts SET text = replace(text, 'never', 'always')")
        store.execute("UPDATE texts SET text = text || '# changed'")


def _older_copy(world: World) -> None:
    for left in world.data.glob(f"{FILE_NAME}*"):
        left.unlink()
    shutil.copy(world.older / FILE_NAME, world.data / FILE_NAME)


def _older_copy_and_memory(world: World) -> None:
    _older_copy(world)
    world.seen.forget()


def _made_anew(world: World, key: str | None) -> None:
    """The same three jobs, one reading another, in a store of its own making."""
    kept = SqliteJournal(world.data, utc, reading=True)
    jobs = {job: kept.facts(job) for job in kept.jobs()}
    texts = {digest: kept.text(digest) or "" for digest in (jobs[ENDED][0].says(JobStarted).texts or {}).values()}
    kept.close()
    for left in world.data.glob(f"{FILE_NAME}*"):
        left.unlink()
    made = SqliteJournal(world.data, utc, signer=world.key(key) if key else None, moment=moment)
    made.keep_texts(texts)
    for facts in jobs.values():
        made.append([_with_other_reading(fact) for fact in facts])
    made.close()


def _with_other_reading(fact: Fact) -> Fact:
    said = fact.legible
    return fact.saying(replace(said, value=12.9)) if isinstance(said, ReadingLogged) else fact


def _another_key(world: World) -> None:
    world.open(signer=world.key("attacker")).close()


def _appended(world: World) -> None:
    with world.sql() as store:
        job_no = number_of(store, OPEN)
        last, fact_id = store.execute(
            "SELECT number, id FROM facts WHERE job_no = ? ORDER BY number DESC LIMIT 1", (job_no,)
        ).fetchone()
        key = fact_id.rsplit("-", 1)[0]
        plain = {"id": f"{key}-{last + 1}", "job": OPEN, "number": last + 1, "at_s": 99.0, "kind": "code-logged"}
        text = canonical({**plain, "procedure": None, "step": None, "data": {"code": "P0335", "spoken": "P 0 3 3 5"}})
        store.execute(
            "INSERT INTO facts (job_no, number, id, recorded_utc, hash, body) VALUES (?, ?, ?, ?, X'', ?)",
            (job_no, last + 1, plain["id"], utc(), text),
        )
        rewrite(store, OPEN, lambda kept: kept)


def _leaf_gone(world: World) -> None:
    with world.sql() as store:
        store.execute("DELETE FROM log WHERE place = 7")


def _log_gone(world: World) -> None:
    with world.sql() as store:
        store.execute("DELETE FROM log")
        store.execute("DELETE FROM log_head")


def _clip_changed(world: World) -> None:
    name = clip_name(7, CLIP.astype("<i2").tobytes())
    WavClips(world.data).keep(ENDED, name, np.roll(CLIP, 3))


def _clip_gone(world: World) -> None:
    shutil.rmtree(world.data.joinpath(*clips_place(ENDED)))


def _clip_renamed(world: World) -> None:
    clip = clip_name(7, CLIP.astype("<i2").tobytes())
    other = np.roll(CLIP, 9)
    clips = WavClips(world.data)
    clips.keep(ENDED, clip_name(7, other.astype("<i2").tobytes()), other)
    world.data.joinpath(*clips_place(ENDED), clip).unlink()


NO_ANCHOR = (
    "with the whole account, key and memory included, before any report or export had left: then nothing outside the "
    "machine knows better; the first report that leaves binds it"
)
STORE: tuple[Attack, ...] = (
    Attack(name="a reading changed in its fact", on="store", does=_in_place),
    Attack(name="a reading changed, the job's chain rewritten to fit", on="store", does=_rewritten),
    Attack(name="the same, and the log made anew without the key", on="store", does=_rewritten_with_log),
    Attack(name="the same by somebody who has the key", on="store", does=_by_the_key_holder),
    Attack(name="the same by somebody with the whole account", on="store", does=_by_whoever_has_the_account),
    Attack(
        name="a job deleted by somebody with the whole account, and only another job's report at hand",
        on="store",
        does=_another_job_by_the_account,
    ),
    Attack(
        name="a reading changed by somebody with the whole account before any report left",
        on="store",
        does=_before_anything_left,
        why_not=NO_ANCHOR,
    ),
    Attack(name="a job's tail cut off", on="store", does=_cut),
    Attack(name="a job's tail cut off, and the log with it", on="store", does=_cut_with_log),
    Attack(name="a whole job deleted", on="store", does=lambda world: _delete(world, log=False)),
    Attack(name="a whole job deleted, and the log with it", on="store", does=lambda world: _delete(world, log=True)),
    Attack(name="a fact added past the program", on="store", does=_appended),
    Attack(name="dictated words nulled, a removal pretended", on="store", does=_nulled),
    Attack(name="the same with a leaf of the log that says so", on="store", does=_nulled_with_leaf),
    Attack(
        name="a plate exchanged",
        on="store",
        does=sql("UPDATE personal SET value = '\"DEMO 99\"' WHERE belongs = 'owner'"),
    ),
    Attack(
        name="the search line forged",
        on="store",
        does=sql("UPDATE summaries SET finding = 'fuel-pump', finding_words = 'fuel pump'"),
    ),
    Attack(name="the search line deleted", on="store", does=sql("DELETE FROM summaries WHERE job_no = 1")),
    Attack(
        name="the bits emptied by which searches pass jobs by", on="store", does=sql("UPDATE signs SET s2 = 1 << 62")
    ),
    Attack(name="what searches find of notes forged", on="store", does=sql("UPDATE said SET words = 'all was well'")),
    Attack(name="a job renamed", on="store", does=sql(f"UPDATE jobs SET name = 'no-such-van' WHERE name = '{ENDED}'")),
    Attack(
        name="two jobs' names exchanged",
        on="store",
        does=sql(
            "UPDATE jobs SET name = 'x' WHERE job_no = 1",
            f"UPDATE jobs SET name = '{ENDED}' WHERE job_no = 2",
            f"UPDATE jobs SET name = '{OTHER}' WHERE job_no = 1",
        ),
    ),
    Attack(name="the procedure's text made to say otherwise", on="store", does=_other_text),
    Attack(name="the procedure's text thrown away", on="store", does=sql("DELETE FROM texts")),
    Attack(name="a leaf of the log taken out", on="store", does=_leaf_gone),
    Attack(name="the log thrown away", on="store", does=_log_gone),
    Attack(name="the signature thrown away", on="store", does=sql("UPDATE log_head SET signature = X''")),
    Attack(name="an older copy of the store put back", on="store", does=_older_copy),
    Attack(name="the same by somebody with the whole account", on="store", does=_older_copy_and_memory),
    Attack(name="another store of the same jobs, unsigned", on="store", does=lambda world: _made_anew(world, None)),
    Attack(
        name="another store of the same jobs, with a key of their own",
        on="store",
        does=lambda world: _made_anew(world, "attacker"),
    ),
    Attack(name="the key exchanged for another", on="store", does=_another_key),
    Attack(name="a sound clip changed", on="clips", does=_clip_changed),
    Attack(name="a sound clip exchanged for another", on="clips", does=_clip_renamed),
    Attack(name="a sound clip thrown away", on="clips", does=_clip_gone),
)
