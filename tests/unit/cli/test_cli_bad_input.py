"""What cannot be used is refused: one message with field, value, rule and remedy, nothing done."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

RIDGE_STOP = 'name = "stop", use = "stop", thread = "braid-018"'


@pytest.fixture
def spoilt(example, tmp_path):
    """Write the two-cam string's job with one thing spoilt; give the file's name."""

    def write(before: str, after: str) -> str:
        text = Path(example("ridge-string")).read_text(encoding="utf-8")
        assert before in text
        (tmp_path / "spoilt.toml").write_text(text.replace(before, after, 1), encoding="utf-8")
        return "spoilt.toml"

    return write


ROUTE = "[bench]\n"
FINISHED = 'finished = "57 1/4 in"'

CASES = {
    "a length without unit": (FINISHED, 'finished = "57 1/4"', "line.finished: '57 1/4': "),
    "a bare number": (FINISHED, "finished = 57.25", "line.finished: '57.25': "),
    "a negative length": (FINISHED, 'finished = "-57 in"', "line.finished: '-57 in': "),
    "a force for a length": (FINISHED, 'finished = "57 lbf"', "line.finished: '57 lbf': "),
    "a length in metres": (FINISHED, 'finished = "57 m"', "line.finished: '57 m': "),
    "a length of nothing": (FINISHED, 'finished = "0 in"', "line.finished: '0 in': "),
    "a post of nothing": ('zero_post = "1/2 in"\nloop', 'zero_post = "0 in"\nloop',
                          "bench.zero_post: '0 in': "),
    "a post like a tree": ('zero_post = "1/2 in"\nloop', 'zero_post = "60 in"\nloop',
                           "bench.zero_post: '60 in': "),
    "no drag": ('drag = "5 lbf +- 1"', 'drag = "0 lbf"', "bench.drag: '0 lbf': "),
    "a drag that breaks": ('drag = "5 lbf +- 1"', 'drag = "500 lbf"', "bench.drag: '500 lbf': "),
    "no measuring load": (ROUTE, '[route]\nmeasure = "0 lbf"\n\n[bench]\n',
                          "route.measure: '0 lbf': "),
    "an empty bobbin": ('bobbin = "8 yd"', 'bobbin = "0 yd"', "bench.bobbin: '0 yd': "),
    "no draw weight": ('draw_weight = "60 lbf"', 'draw_weight = "0 lbf"',
                       "bow.draw_weight: '0 lbf': "),
    "more let-off than weight": ('let_off = "80 %"', 'let_off = "180 %"', "bow.let_off: '180 %': "),
    "a loop too small for its pin": ('lower cam", size = "7/8 in"', 'lower cam", size = "3/8 in"',
                                     "line.zero_end.size: '3/8 in': "),
    "a serving off the line": ("17-0", "17-70", "original.shorthand: '17–70': "),
    "servings that overlap": ("20 1/2-22 1/4", "20 1/2-27",
                              "original.shorthand: '26 3/4–30 1/2': "),
    "a serving too many": ("20 1/2-22 1/4, ", "", "line.servings: '4 without start and stop': "),
    "a serving reversed": (RIDGE_STOP, f'{RIDGE_STOP}, start = "22 in", stop = "20 in"', ": "),
    "a mark off the line": ('at = "28 5/8 in"', 'at = "80 in"',
                          "line.marks 'nock': '80 in (2032 mm)': must lie on the line, 0 to 57"),
    "an odd strand": ("strands = 24", "strands = 23", "makeup.colours: '12 + 12 = 24': "),
    "colours that do not add up": ('"#E3D3A5", strands = 12', '"#E3D3A5", strands = 11',
                                   "makeup.colours: '12 + 11 = 23': "),
    "halves that are none": ('"#2F6B57", strands = 12', '"#2F6B57", strands = 16',
                             "makeup.pattern: 'halves, colours 16 + 12': "),
    "an unknown strand": ('"hmpe-lcp"', '"spider silk"', "makeup.strand: 'spider silk': "),
    "an unknown thread": ("braid-021", "braid-999", "line.servings[3].thread: 'braid-999': "),
    "an unknown track": ('track = "cam track" },\n  { name = "stop"',
                         'track = "groove" },\n  { name = "stop"',
                         "line.servings[1].track: 'groove': "),
    "an unknown peg": ('peg = "cam peg" }\nfar', 'peg = "hook" }\nfar',
                       "line.zero_end.peg: 'hook': "),
    "a name twice": ('name = "stop", use', 'name = "centre", use',
                     "line.servings[3].name: 'centre'"),
    "over a third of the break": (ROUTE, '[route]\nstretch = "500 lbf"\n\n[bench]\n',
                                  "route.stretch: '500 lbf': "),
    "over the bench's rating": ('rating = "600 lbf"', 'rating = "250 lbf"', "'300 lbf': "),
    "a beam shorter than the line": ('longest = "120 in"', 'longest = "50 in"',
                                     "bench.longest: '50 in': "),
    "a beam that just holds it": ('longest = "120 in"', 'longest = "57 1/2 in"',
                                  "bench.longest: '57 1/2 in': "),
    "turns for a rate": ('twist = "0.5 per in"', 'twist = "30 per in"',
                         "makeup.twist: '30 per in': "),
    "turns and a rate": ('twist = "0.5 per in"', 'twist = "0.5 per in"\nturns = 20',
                         "makeup.turns: '20': "),
    "a misspelt key": ('hand = "Z"\ntwist', 'hnd = "Z"\ntwist', "makeup.hnd: 'Z': "),
    "a colour in words": ('"#2F6B57"', '"green"', "makeup.colours[1].colour: 'green': "),
    "a table left open": ("[line]", "[line", "spoilt.toml: "),
    "a table twice": ("[makeup]", "[bow]", "spoilt.toml: "),
}  # fmt: skip

MESSAGE = re.compile(r".+: '.*': .+; .+")


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.replace(" ", "-"))
def test_one_message_and_nothing_done(run, spoilt, tmp_path, case):
    """Field, value, rule and remedy stand on one line of the error stream; no file appears."""
    before, after, said = CASES[case]
    path = spoilt(before, after)
    result = run("sheet", path)
    assert 2 == result.exit_code, result.stderr
    assert MESSAGE.fullmatch(result.stderr.strip()), result.stderr
    assert said in result.stderr
    assert "" == result.stdout
    assert ["spoilt.toml"] == [found.name for found in tmp_path.iterdir()]


def test_several_faults_are_told_at_once(run, spoilt):
    """Two spoilt fields give two lines, so that both are mended in one go."""
    path = spoilt('draw_weight = "60 lbf"', 'draw_weight = "60"\nbrace = "7 in"')
    result = run("plan", path)
    assert 2 == result.exit_code
    lines = result.stderr.splitlines()
    assert ["bow.draw_weight", "bow.brace"] == [line.split(":")[0] for line in lines]
    assert all(MESSAGE.fullmatch(line) for line in lines)


def test_posts_that_no_turns_can_make_good_are_named(run, spoilt):
    """A line wound far too long is refused at the setting it was wound at."""
    path = spoilt("[bench]\n", '[route]\nwound_at = "70 in"\n\n[bench]\n')
    result = run("plan", path)
    assert 2 == result.exit_code
    assert "route.wound_at: '70 in': must be a setting" in result.stderr
    assert "the posts closer: at" in result.stderr


@pytest.mark.parametrize(
    ("reading", "length"),
    [("bare=90 in", "90 in"), ("twisted=20 in", "20 in"), ("bare=56 1/2 in", "56 1/2 in")],
)
@pytest.mark.filterwarnings("error")
def test_a_reading_that_cannot_be_of_this_line_is_named(run, example, reading, length):
    """It is refused beside what was expected, by the option it was typed in, and quietly."""
    result = run("plan", example("ridge-string"), "--read", reading)
    assert (2, "") == (result.exit_code, result.stdout)
    assert f"--read: '{length}': must be a reading of this line; " in result.stderr
    assert f"{reading.partition('=')[0]} was expected at 57 " in result.stderr
    assert "look at the post setting and the turns" in result.stderr
    assert 1 == len(result.stderr.splitlines())


def test_the_odd_one_of_two_readings_is_named(run, example):
    """A good reading is not blamed for what a bad one beside it says."""
    reads = ("--read", "bare=57 19/32 in", "--read", "twisted=54 in")
    result = run("plan", example("ridge-string"), *reads)
    assert 2 == result.exit_code
    assert "--read: '54 in': must be a reading of this line; twisted was" in result.stderr


def test_posts_set_too_close_are_named_not_a_fair_reading(run, example):
    """A reading as expected is believed: it is the post setting that leaves the line short."""
    job, posts = example("ridge-string"), ("--wound-at", "57 1/4 in")
    wide = json.loads(run("plan", job, *posts, "--read", "bare=57 7/32 in", "--json").output)
    assert [False] == [reading["surprising"] for reading in wide["learned"]]
    result = run("plan", job, *posts, "--read", "bare=57 3/16 in")
    assert 2 == result.exit_code
    assert "--wound-at: '57 1/4 in': must be a setting" in result.stderr
    assert "the posts wider: at" in result.stderr


def test_a_file_that_is_not_there_is_named(run):
    """A job file that cannot be read is a matter of input."""
    result = run("plan", "nowhere.toml")
    assert 2 == result.exit_code
    assert "job file: 'nowhere.toml': must be a file that can be read" in result.stderr


def test_a_file_in_another_encoding_is_named_with_its_line(run, tmp_path):
    """A file that is not UTF-8 is refused with the line that shows it."""
    (tmp_path / "latin.toml").write_bytes(b'id = "A"\nname = "caf\xe9"\n')
    result = run("check", "latin.toml")
    assert 2 == result.exit_code
    assert "line 2 is not" in result.stderr


def test_a_place_that_cannot_be_written_is_named(run, example, tmp_path):
    """A sheet that has no place to go is a matter of input, and nothing half done is left."""
    (tmp_path / "taken").write_text("a file, not a folder", encoding="utf-8")
    result = run("picture", example("ridge-string"), "-o", "taken/ridge.svg")
    assert 2 == result.exit_code
    assert "output: 'taken/ridge.svg': must lie in a folder, and taken is a file" in result.stderr
    assert ["taken"] == [found.name for found in tmp_path.iterdir()]
