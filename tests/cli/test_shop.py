"""A shop of several bays on one server, as it is typed: joined, drained, found, handed over, counted, kept well."""

from __future__ import annotations

import io
import json
import subprocess
import sys
from pathlib import Path

import pytest

from assistant.__main__ import run
from assistant.adapters.journal_sqlite import SqliteJournal
from assistant.facts import FactKind
from assistant.session import outbox
from assistant.wiring import shop_server
from tests.cli.shop_jobs import BAY, ENDED, job, keep, lines
from tests.ports.journal_suite import fact
from tests.shop_server import PASSWORD, Shop


def test_a_password_is_kept_for_the_user_alone(join: object) -> None:
    """In a file beside the records that nobody else may read; the address holds none."""
    folder = join("bay-one", BAY)  # type: ignore[operator]  # the fixture above
    file = folder / "server.json"
    assert file.stat().st_mode & 0o077 == 0
    assert PASSWORD not in json.loads(file.read_text())["address"]


def test_the_shop_finds_what_a_bay_recorded(bays: tuple[Path, ...], capsys: pytest.CaptureFixture[str]) -> None:
    """By plate in any spelling, finding, technician and day, over all bays; a bay sees its own lines alone."""
    one, _, desk = bays
    capsys.readouterr()
    assert run(["shop", "find", "demo42", "--technician", "sam", "--json", "--data", str(desk)]) == 0
    found = lines(capsys)
    assert [(line["job"], line["bay"]) for line in found] == [("red", "bay-two"), ("blue", "bay-one")]
    assert run(["shop", "find", "--finding", "crank", "--since", "2031-05-05", "--json", "--data", str(desk)]) == 0
    assert [line["job"] for line in lines(capsys)] == ["red"]
    assert run(["shop", "find", "nothing like it", "--data", str(desk)]) == 1
    capsys.readouterr()
    assert run(["shop", "find", "--json", "--data", str(one)]) == 0
    assert [line["job"] for line in lines(capsys)] == ["blue"]
    assert run(["shop", "find", "demo42", "--data", str(one)]) == 4
    assert "may not do that" in capsys.readouterr().err


def test_a_job_goes_on_at_another_bay(bays: tuple[Path, ...], capsys: pytest.CaptureFixture[str]) -> None:
    """Only once the desk handed it over; the taking over is a fact, and the former bay's facts are refused and kept."""
    one, two, desk = bays
    keep(one, [fact(1, job="open", key="k3", kind=FactKind.JOB_STARTED, data={"key": "k3"})])
    assert run(["shop", "drain", "--data", str(one)]) == 0
    assert run(["shop", "take", "open", "--data", str(two)]) == 2
    assert "at the desk: hoodside shop hand 'open' bay-two" in capsys.readouterr().err
    assert run(["shop", "hand", "open", "bay-two", "--data", str(desk)]) == 0
    assert run(["shop", "take", "open", "--data", str(two)]) == 0
    here = SqliteJournal(two, lambda: "", reading=True)
    last = here.facts("open")[-1]
    here.close()
    assert (last.kind, last.data) == (FactKind.TAKEN_OVER, {"bay": "bay-two", "from": "bay-one"})
    assert run(["shop", "drain", "--data", str(two)]) == 0
    keep(one, [fact(2, job="open", key="k3")])
    assert run(["shop", "drain", "--data", str(one)]) == ENDED
    assert run(["shop", "status", "--data", str(one)]) == ENDED
    assert "would not take job 'open', which is kept here" in capsys.readouterr().err
    assert run(["shop", "verify", "--data", str(desk)]) == run(["jobs", "verify", "--shop", "--data", str(desk)]) == 0
    capsys.readouterr()
    assert run(["shop", "audit", "--json", "--data", str(desk)]) == 0
    assert ("handed over", "open") in [(line["what"], line["job"]) for line in lines(capsys)]


def test_a_bay_watches_a_job_that_another_leads_and_takes_it_over(
    bays: tuple[Path, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    """What is answered, read and found there is told as it comes; taking over is asked for by name, and a fact."""
    one, two, _ = bays
    begun = job("open", "k3", plate="DEMO 43")
    keep(one, begun[:10], "2031-05-20")
    assert run(["shop", "drain", "--data", str(one)]) == 0
    capsys.readouterr()
    assert run(["shop", "watch", "open", "--once", "--data", str(two)]) == 0
    shown = capsys.readouterr()
    assert "open is led at bay-one, which last sent" in shown.err
    assert [line.strip() for line in shown.out.splitlines()][-2:] == [
        "9:00  reading: battery at rest 12.6 V (good)",
        "10:00  note: ring the owner",
    ]
    assert run(["shop", "watch", "open", "--once", "--data", str(one)]) == 4  # a bay alone reads no fact
    assert run(["shop", "take", "open", "--data", str(two)]) == 2
    assert "belongs to 'bay-one', which last sent of it" in capsys.readouterr().err
    assert run(["shop", "take", "open", "--over", "--data", str(two)]) == 0
    keep(two, [fact(12, job="open", key="k3", kind=FactKind.JOB_ENDED)])
    assert run(["shop", "drain", "--data", str(two)]) == 0
    capsys.readouterr()
    assert run(["shop", "watch", "open", "--data", str(two)]) == 0  # ends by itself, for the job has
    assert [line.strip()[6:].strip() for line in capsys.readouterr().out.splitlines()][-2:] == [
        "taken over by bay-two from bay-one",
        "the job ended",
    ]
    keep(one, begun[10:])
    assert run(["shop", "drain", "--data", str(one)]) == ENDED


def test_a_job_whose_work_has_ended_is_taken_over_for_its_repair_alone(
    bays: tuple[Path, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing is added behind its end but what may stand there, so that it reads as before."""
    _, two, _ = bays
    assert run(["shop", "take", "blue", "--over", "--data", str(two)]) == 0
    assert "jobs close 'blue' --repair FAULT" in capsys.readouterr().err
    assert run(["jobs", "close", "blue", "--repair", "pump-dead", "--data", str(two)]) == 0
    assert run(["jobs", "verify", "--data", str(two)]) == 0
    assert run(["shop", "drain", "--data", str(two)]) == 0
    here = SqliteJournal(two, lambda: "", reading=True)
    assert FactKind.TAKEN_OVER not in [one.kind for one in here.facts("blue")]
    here.close()


def test_a_session_is_told_that_its_job_was_taken_over(bays: tuple[Path, ...]) -> None:
    """What it records from then on stays here, and whoever leads it hears of that while the session goes on."""
    one, two, _ = bays
    words = ["--hear", "typed", "--say", "silent", "--data", str(one)]
    command = [sys.executable, "-m", "assistant"]
    begun = [*command, "start", "no-start", "--job", "led", *words]
    subprocess.run(begun, input="petrol\n", capture_output=True, text=True, check=True)
    while run(["shop", "drain", "--data", str(one)]) or run(["shop", "watch", "led", "--once", "--data", str(two)]):
        pass  # the drain beside that session may still be at it
    assert run(["shop", "take", "led", "--over", "--data", str(two)]) == 0
    resumed = [*command, "resume", "led", *words]
    with subprocess.Popen(
        resumed, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True
    ) as led:
        assert led.stdin is not None and led.stderr is not None
        led.stdin.write("take a note\nstill here\n")
        led.stdin.flush()
        assert any("would not take job 'led', which is kept here" in line for line in led.stderr)
        led.stdin.close()


def test_a_bay_with_nothing_recorded_is_told_so(join: object, capsys: pytest.CaptureFixture[str]) -> None:
    """A machine that has just joined has nothing to send, which is no fault."""
    folder = join("bay-one", BAY)  # type: ignore[operator]  # the fixture above
    assert run(["shop", "status", "--data", str(folder)]) == 0
    assert "0 turns wait to be sent." in capsys.readouterr().out
    assert run(["shop", "drain", "--data", str(folder)]) == 0
    assert "Sent 0 facts; nothing waits." in capsys.readouterr().err


def test_a_drain_beside_a_session_rests_between_its_rounds(
    join: object, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Several times as long as each took, while the session lasts; once it ended the rest goes without a pause."""
    folder = join("bay-one", BAY)  # type: ignore[operator]  # the fixture above
    monkeypatch.setattr(outbox, "LEAVES_AT_ONCE", 3)
    for number in range(8):
        keep(folder, [fact(1, job=f"job-{number}", key=f"k{number}", kind=FactKind.JOB_STARTED)])
    waited: list[float] = []

    def ended(wait_s: float) -> bool:
        waited.append(wait_s)
        return shop_server.turns_waiting(folder) == 0

    shop_server.keep_draining(folder, ended)
    assert waited[0] == 0.0 and len([rest for rest in waited if 0.0 < rest != shop_server.LOOK_S]) >= 8 // 3
    capsys.readouterr()
    assert run(["shop", "status", "--data", str(folder)]) == 0
    assert "0 turns wait to be sent." in capsys.readouterr().out


def test_a_session_goes_on_where_nothing_can_be_sent_beside_it(
    join: object, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where the process beside it cannot be begun, that is told and the job is led all the same."""
    folder = join("bay-one", BAY)  # type: ignore[operator]  # the fixture above
    monkeypatch.setattr(sys, "executable", str(folder / "none"))
    monkeypatch.setattr(sys, "stdin", io.StringIO("petrol\n"))
    assert run(["start", "no-start", "--job", "a", "--hear", "typed", "--say", "silent", "--data", str(folder)]) == 0
    assert "Nothing is sent to the shop just now" in capsys.readouterr().err
    assert run(["shop", "drain", "--data", str(folder)]) == 0


def test_what_other_bays_repaired_moves_a_bay_s_odds_also_off_line(
    bays: tuple[Path, ...], shop: Shop, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each bay counts its own repairs and, as fetched, those of the others: once each, told with their strength, and
    left out where the shop says so."""
    one, two, desk = bays
    keep(one, job("green", "k3", plate="DEMO 43"), "2031-05-20")
    assert run(["shop", "drain", "--data", str(one)]) == 0
    (two / "shop-repairs.json").unlink()
    assert run(["shop", "drain", "--data", str(two)]) == 0
    shop.run('ALTER ROLE "bay-two" NOLOGIN')  # off-line from here on
    monkeypatch.setattr("assistant.adapters.journal_postgres.link.WAITS_S", ())
    try:
        capsys.readouterr()
        assert run(["reason", "no-start", "--data", str(two)]) == 0
        told = json.loads(capsys.readouterr().out)
        assert (told["learned_from"]["own"], told["learned_from"]["elsewhere"]) == (1, 2)
        sensor = told["learned"][0]
        assert (sensor["fault"], sensor["repairs"]) == ("crank-sensor", 3) and sensor["after"] > sensor["before"]
        assert told["learned_from"]["strength"] == round(3 / 53, 3)  # 50 by the model's file
        assert run(["shop", "priors", "--json", "--data", str(two)]) == 0
        heard = capsys.readouterr()
        assert json.loads(heard.out.splitlines()[0])["repairs"] == 3
        assert "3 repairs in all; strength 6%" in heard.err
        begin = ["start", "no-start", "--hear", "typed", "--say", "silent", "--data", str(two)]
        monkeypatch.setattr(sys, "stdin", io.StringIO(""))
        assert run([*begin, "--job", "a"]) == 0
        assert "1 repair of this machine and 2 of the shop's other bays" in capsys.readouterr().err
        assert run(["shop", "settings", "--odds", "own", "--data", str(two)]) == 0
        assert run([*begin, "--job", "b"]) == 0
        assert "other bays" not in capsys.readouterr().err
        assert run(["reason", "no-start", "--data", str(two)]) == 0
        assert json.loads(capsys.readouterr().out)["learned_from"]["elsewhere"] == 0
    finally:
        shop.run('ALTER ROLE "bay-two" LOGIN')
    assert run(["shop", "hand", "green", "bay-two", "--data", str(desk)]) == 0
    (one / "shop-repairs.json").unlink()
    assert run(["shop", "drain", "--data", str(one)]) == 0
    assert json.loads((one / "shop-repairs.json").read_text())["counts"] == {"no-start": {"crank-sensor": 1}}


def test_a_session_sends_by_itself(bays: tuple[Path, ...], shop: Shop) -> None:
    """A typed job at a joined bay is on the server soon after, though the session never asked for it."""
    one = bays[0]
    words = ["start", "no-start", "--job", "typed", "--hear", "typed", "--say", "silent", "--data", str(one)]
    done = subprocess.run(
        [sys.executable, "-m", "assistant", *words], input="petrol\n", capture_output=True, text=True, check=False
    )
    assert "Traceback" not in done.stderr
    arrived = "SELECT count(*), pg_sleep(0.5) FROM shop.jobs WHERE label = 'typed'"
    assert any(shop.ask(arrived)[0][0] for _ in range(120))
