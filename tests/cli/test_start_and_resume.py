"""`hoodside start` and `resume` as a person or a script calls them."""

import io
import json
import sys

import pytest

from assistant.__main__ import hoodside, run


@pytest.fixture
def shell(tmp_path, monkeypatch, capsys):
    """Runs a command with typed input; gives its exit code, output and messages."""

    def call(*arguments, typed=""):
        monkeypatch.setattr(sys, "stdin", io.StringIO(typed))
        code = run([*arguments, *(() if "--data" in arguments else ("--data", str(tmp_path / "data")))])
        shown = capsys.readouterr()
        return code, shown.out, shown.err

    return call


START = ("start", "no-start", "--hear", "typed")


def test_start_leads_and_resume_goes_on(shell, tmp_path):
    """End of input ends with 0; resume stands where it stood, and its facts go on in number."""
    trace = tmp_path / "trace.jsonl"
    code, out, err = shell(*START, "--job", "car", "--trace", str(trace), typed="done\nit will not start\n")
    assert code == 0
    assert "Tell me the complaint" in out
    assert "hoodside resume 'car'" in err
    code, out, _ = shell("resume", "car", "--hear", "typed", "--trace", str(trace), typed="nothing changed\n")
    assert code == 0
    assert "Job car goes on." in out
    lines = [json.loads(line) for line in trace.read_text().splitlines()]
    numbers = [fact["number"] for line in lines for fact in line["facts"]]
    assert numbers == list(range(1, len(numbers) + 1))
    assert lines[3]["heard"] is None


def test_bytes_that_are_no_text_are_kept_and_traced(shell, tmp_path, monkeypatch):
    """A note typed in another character set is no reason to stop: it is kept, and the trace stays JSON."""
    trace = tmp_path / "trace.jsonl"
    typed = b"take a note\ncaf\xe9 \xff note\n"
    lines = io.TextIOWrapper(io.BytesIO(typed), encoding="utf-8", errors="surrogateescape")
    monkeypatch.setattr(sys, "stdin", lines)
    assert run([*START, "--job", "car", "--trace", str(trace), "--data", str(tmp_path / "data")]) == 0
    told = [json.loads(line) for line in trace.read_text(encoding="utf-8").splitlines()]
    (note,) = [fact for line in told for fact in line["facts"] if fact["kind"] == "note-taken"]
    assert note["data"]["words"] == "caf\udce9 \udcff note"
    for kind in ("html", "pdf", "json", "csv", "invoice"):
        out = tmp_path / f"out.{kind}"
        assert shell("report", "car", "--format", kind, "--out", str(out))[0] == 0


def test_what_is_written_is_the_users_alone(shell, tmp_path):
    """Traces, reports and exports hold what the store holds: nobody else may read them, also where they were there."""
    trace, report, export = tmp_path / "trace.jsonl", tmp_path / "car.html", tmp_path / "car.jsonl"
    for path in (trace, report, export):
        path.touch(mode=0o644)
    assert shell(*START, "--job", "car", "--trace", str(trace))[0] == 0
    assert shell("report", "car", "--out", str(report))[0] == 0
    assert shell("jobs", "export", "car", "--out", str(export))[0] == 0
    assert [path.stat().st_mode & 0o777 for path in (trace, report, export)] == [0o600] * 3


def begun(trace):
    """What the first fact of a trace keeps."""
    return json.loads(trace.read_text().splitlines()[0])["facts"][0]["data"]


def test_a_new_job_is_led_unless_it_goes_by_the_book(shell, tmp_path):
    """The order is a fact at the beginning; a procedure without a fault model has only its own."""
    for number, (words, leads) in enumerate(
        [(START, True), ((*START, "--by-the-book"), None), (("start", "recheck-start", "--hear", "typed"), None)]
    ):
        trace = tmp_path / f"{number}.jsonl"
        assert shell(*words, "--job", f"car {number}", "--trace", str(trace))[0] == 0
        assert begun(trace).get("leads") is leads


def test_a_name_that_is_taken_points_to_resume(shell):
    """Exit code 2, and nothing is written over."""
    assert shell(*START, "--job", "car")[0] == 0
    code, _, err = shell(*START, "--job", "car")
    assert code == 2
    assert "hoodside resume 'car'" in err


def test_a_job_without_a_name_gets_one(shell):
    """It is told on standard error."""
    code, _, err = shell(*START)
    assert code == 0
    assert "Job 'no-start 2" in err


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (("resume", "nobody"), "no job 'nobody'; `hoodside jobs list` names them"),
        (("resume", "nobody", "--hear", "typed"), "no job 'nobody'"),
        (("start", "nothing", "--hear", "typed"), "no procedure 'nothing'"),
        (("start", "no-star", "--hear", "typed"), "Did you mean no-start"),
        (("start", "nothing.yaml", "--hear", "typed"), "no procedure file"),
        ((*START, "--job", "a\nb"), "line breaks"),
        ((*START, "--job", "x" * 500), "at most 100"),
        ((*START, "--job", ""), "must not be empty"),
        ((*START, "--vehicle", "fuel"), "KEY=VALUE"),
        ((*START, "--vehicle", "fuel=water"), "can be petrol"),
        ((*START, "--vehicle", "fuel=gas"), "unknown, gasoline, propane, natural-gas; not 'gas', which"),
        ((*START, "--vehicle", "wings=2"), "does not know 'wings'; it knows fuel, cylinders"),
        ((*START, "--vehicle", "colour=red"), "mileage, owner and each limit of the procedures by its id."),
        ((*START, "--vehicle", "Cylinder=4"), "does not know 'Cylinder'; nearest to it is cylinders."),
        ((*START, "--vehicle", "starter-rests=60"), "; nearest to it is starter-rest-s or "),
        ((*START, "--vehicle", "year=red"), "a year such as 2009, not 'red'"),
        ((*START, "--vehicle", "mileage=red"), "a number such as 82000 km, not 'red'"),
        ((*START, "--vehicle", "hybrid=maybe"), "can be yes, no, unknown; not 'maybe'"),
        ((*START, "--vehicle", "fuel=petrol", "--vehicle", "fuel=diesel"), "given twice"),
        ((*START, "--vehicle", "rest-good=high"), "takes a number"),
        ((*START, "--vehicle", "rest-good=1"), "must stay below"),
        ((*START, "--vehicle", "starter-burst-s=99"), "between 1 and 30 seconds"),
        (("start", "no-start", "--hear", "telepathy"), "--hear takes"),
        ((*START, "--say", "loudly"), "--say takes"),
        ((*START, "--keep-sound"), "a typed session has none"),
        ((*START, "--microphone", "2"), "--microphone goes with --hear microphone, not with --hear typed"),
        ((*START, "--speaker", "2"), "--speaker goes with --say speaker"),
        (("resume", "car", "--hear", "typed", "--microphone", "2"), "--microphone goes with --hear microphone"),
        ((*START, "--nonsense"), "No such option"),
        (("startle",), "No such command"),
    ],
)
def test_wrong_use_is_one_sentence_and_exit_code_two(shell, arguments, message):
    """What is wrong is said, nothing is begun."""
    if arguments[0] == "startle":
        assert run(list(arguments)) == 2
        return
    code, _, err = shell(*arguments)
    assert code == 2
    assert message in err
    assert len(err.strip().splitlines()) == 1


def test_a_broken_procedure_is_refused_before_anybody_follows_it(shell, tmp_path):
    """Its first fault is told with its place, and how to see the rest."""
    file = tmp_path / "odd.yaml"
    file.write_text("id: odd\nversion: 1\nsteps: 3\n")
    code, _, err = shell("start", str(file), "--hear", "typed")
    assert code == 1
    assert f"{file}:1:1" in err or "odd.yaml:" in err
    assert "hoodside check" in err


def test_a_huge_file_is_refused_unread(shell, tmp_path):
    """A sparse gigabyte takes no memory and no time."""
    file = tmp_path / "huge.yaml"
    with file.open("wb") as stream:
        stream.truncate(1_000_000_000)
    code, _, err = shell("start", str(file), "--hear", "typed")
    assert code == 1
    assert "1,000,000,000 bytes" in err


def test_a_folder_that_cannot_be_written_is_told_with_code_four(shell, tmp_path):
    """Where the record cannot be kept the job does not begin."""
    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    code, _, err = shell(*START, "--data", str(blocked / "data"))
    assert code == 4
    assert "--data" in err


def test_vehicle_facts_and_limits_are_used(shell, tmp_path):
    """Known facts are not asked; what tells the car apart is kept."""
    trace = tmp_path / "trace.jsonl"
    typed = "done\nit will not start\nnothing changed\nnobody knows\n"
    code, out, _ = shell(
        *START,
        "--job",
        "car",
        "--trace",
        str(trace),
        "--vehicle",
        "fuel=diesel",
        "--vehicle",
        "plate=DEMO 1",
        typed=typed,
    )
    assert code == 0
    assert "Known: diesel." in out
    assert "This guide is for petrol alone." in out
    first = json.loads(trace.read_text().splitlines()[0])
    assert {"fact": "plate", "value": "DEMO 1", "by": "start"} in [fact["data"] for fact in first["facts"]]


@pytest.mark.parametrize(
    ("written", "said", "kept"),
    [
        ("fuel=gasoline", "Known: petrol.", "petrol"),
        ("fuel=propane", "Known: propane or natural gas.", "gas"),
        ("fuel=natural-gas", "Known: propane or natural gas.", "gas"),
    ],
)
def test_a_fuel_is_kept_as_what_was_written(shell, tmp_path, written, said, kept):
    """Each way to write it means one fuel only, and is spoken as no other."""
    trace = tmp_path / "trace.jsonl"
    typed = "done\nit will not start\nnothing changed\nnobody knows\n"
    code, out, _ = shell(*START, "--job", "car", "--trace", str(trace), "--vehicle", written, typed=typed)
    assert code == 0
    assert said in out
    first = json.loads(trace.read_text().splitlines()[0])
    assert {"fact": "fuel", "value": kept, "by": "start"} in [fact["data"] for fact in first["facts"]]


def test_what_is_known_is_spoken_as_known_and_not_as_seen(shell):
    """A yes given at the start is no sighting of orange cables."""
    given = ("--vehicle", "fuel=petrol", "--vehicle", "hybrid=yes")
    _, out, _ = shell(*START, "--job", "car", *given, typed="done\nit will not start\nnothing changed\nnobody knows\n")
    assert "Known: hybrid." in out
    assert "orange cables" not in out


def test_a_closed_job_is_not_resumed(shell):
    """Its record is pointed to instead."""
    typed = "end job\nyes\n"
    assert shell(*START, "--job", "car", typed=typed)[0] == 0
    code, _, err = shell("resume", "car", "--hear", "typed")
    assert code == 2
    assert "hoodside report 'car'" in err


def test_a_procedure_of_ones_own_is_found_again(shell, tmp_path):
    """A job begun from a file is resumed from that file."""
    file = tmp_path / "own.yaml"
    file.write_text(
        "id: own\nversion: 1\ntitle: A made-up job\napplies_to: nothing\ntools: []\nconsumables: []\n"
        'sources: [{id: practice, text: "common practice, no source"}]\nbegin: first\nsteps:\n'
        "  - {id: first, kind: instruct, say: Look., hazards: [], minutes: 1, place: hood, next: end}\n"
        "  - id: end\n    kind: finding\n    say: Fine.\n    hazards: []\n    minutes: 0\n    place: hood\n"
        "    finding: {fault: none, proved: [All is well.], likely: [], untested: [], advice: Go., customer: Fine.}\n"
    )
    assert shell("start", str(file), "--hear", "typed", "--job", "own")[0] == 0
    code, out, _ = shell("resume", "own", "--hear", "typed", typed="done\n")
    assert code == 0
    assert "Found by test: All is well." in out


def test_every_command_has_help_with_an_example(capsys):
    """`--help` of the program and of each command ends in an example."""

    for name in hoodside.list_commands(None):
        assert run([name, "--help"]) == 0
        assert "Example" in capsys.readouterr().out, name
    assert run(["--help"]) == 0
    assert "start" in capsys.readouterr().out


def test_a_second_job_on_the_same_plate_begins_with_what_the_first_left(shell, tmp_path):
    """However it is written; another car begins with nothing, and without a plate the job itself names the car."""
    car = ("--vehicle", "fuel=petrol", "--vehicle", "hybrid=no", "--vehicle", "glow-plugs-or-intake-heater=no")
    car = (*car, "--vehicle", "throttle-by-wire=no", "--vehicle", "forced-induction=no", "--hear", "typed")
    spray = "both allow it\nyes\ndry and cool\nyes\ndone\ndone\nno flame near\nengine is stopped\nexhaust is cool\n"
    spray += "tester is off\nready\n@wait 6\nend job\nyes\nleft off\nleft off\n"
    code, out, _ = shell(
        "start", "fuel-substitute", "--job", "first", "--vehicle", "plate=MADE-UP 1", *car, typed=spray
    )
    assert code == 0
    assert "The job is closed." in out, out[-2000:]
    told = "as far as I know: starting fluid in the bay, the intake duct open, the pedal prop in and vapour about."
    start = ("start", "spark-check", "--hear", "typed")
    assert told in shell(*start, "--job", "second", "--vehicle", "plate=made up1")[1]
    assert "as far as I know" not in shell(*start, "--job", "other", "--vehicle", "plate=ELSE 2")[1]
    assert "as far as I know" not in shell(*start, "--job", "unnamed")[1]
    assert told in shell(*start, "--job", "same", "--same-car", "first")[1]
    code, _, err = shell(*start, "--job", "wrong", "--same-car", "nowhere")
    assert code == 2 and "There is no job 'nowhere'" in err
    shell("start", "fuel-substitute", "--job", "nameless", *car, typed=spray)
    code, out, _ = shell(*start, "--job", "next", typed="the same car\n")
    assert "If this is that car, say the same car." in out
    assert "This car was in job nameless." in out


def test_how_much_is_said_is_asked_for_at_the_start_and_kept(shell, tmp_path):
    """`--speak` holds for the job until it is changed; what is typed goes on in full without it, whoever did jobs."""
    trace = tmp_path / "trace.jsonl"
    for number in range(4):
        assert shell(*START, "--job", f"job {number}", "--trace", str(trace))[0] == 0
    assert shell(*START, "--job", "brief", "--speak", "brief", "--trace", str(trace))[0] == 0
    assert shell("resume", "brief", "--hear", "typed", "--speak", "terse", "--trace", str(trace))[0] == 0
    facts = [fact for line in trace.read_text().splitlines() for fact in json.loads(line)["facts"]]
    begun = [fact["data"].get("manner", "full") for fact in facts if fact["kind"] == "job-started"]
    assert begun == ["full"] * 4 + ["brief"]
    assert [fact["data"]["manner"] for fact in facts if fact["kind"] == "resumed"] == ["terse"]


def test_a_record_says_who_worked_where_on_which_car(shell, tmp_path):
    """The shop's settings are said once; a technician of today and the car's make, model and year at the start."""
    settings = ("shop", "settings", "--name", "Bay Nine, invented", "--technician", "Sam", "--paper", "letter")
    assert shell(*settings)[0] == 0
    car = ("--vehicle", "make=Invented", "--vehicle", "model=Longnose", "--vehicle", "year=2009")
    assert shell(*START, "--job", "one", *car)[0] == 0
    assert shell(*START, "--job", "two", "--technician", "Alex")[0] == 0
    told = {job: json.loads(shell("report", job, "--format", "json")[1]) for job in ("one", "two")}
    assert [(told[job]["technician"], told[job]["shop"]) for job in told] == [
        ("Sam", "Bay Nine, invented"),
        ("Alex", "Bay Nine, invented"),
    ]
    vehicle = told["one"]["vehicle"]
    assert (vehicle["make"], vehicle["model"], vehicle["year"]) == ("Invented", "Longnose", "2009")
    assert "technician" not in vehicle["facts"] and "shop" not in vehicle["facts"]
    assert "size: letter" in shell("report", "one")[1]
    assert "size: A4" in shell("report", "one", "--paper", "a4")[1]
    assert "Done by Sam, Bay Nine, invented." in shell("report", "one", "--format", "invoice")[1]
    assert "technician" not in shell("jobs", "list", "--json")[1]
    assert shell("jobs", "forget", "one")[0] == 0
    assert json.loads(shell("report", "one", "--format", "json")[1])["technician"] == "Sam"
    assert shell("jobs", "forget", "one", "--technician")[0] == 0
    assert json.loads(shell("report", "one", "--format", "json")[1])["technician"] == "removed on request"
    assert shell("jobs", "verify")[0] == 0


def test_settings_of_a_shop_are_shown_kept_apart_and_taken_back(shell, tmp_path):
    """They are the user's alone to read; an empty name takes one back; a damaged file is told in one sentence."""
    assert shell("shop", "settings")[1] == "name: not said\ntechnician: not said\npaper: a4\nodds: shop\n"
    assert "name: Bay" in shell("shop", "settings", "--name", "Bay")[1]
    assert "name: not said" in shell("shop", "settings", "--name", "")[1]
    kept = tmp_path / "data" / "shop.json"
    assert kept.stat().st_mode & 0o777 == 0o600
    assert shell("shop", "settings", "--name", "x" * 300)[0] == 2
    kept.write_text("{")
    code, _, err = shell("shop", "settings")
    assert code == 3 and "make it anew" in err
