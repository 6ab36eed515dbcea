"""A job's bow over HTTP: answered, looked at with other lines, tuned, and refused in words."""

from __future__ import annotations

import re
import threading

import pytest

from strandwright.planning.bow.answers import answer_bow
from strandwright.web import bows


def bow(client, id="RIDGE-1", **how):
    """Ask for the bow."""
    return client.get(f"/api/jobs/{id}/bow", params=how)


def what_if(client, longer, id="RIDGE-1", **more):
    """Ask what the bow would be with other lines."""
    return client.post(f"/api/jobs/{id}/bow/what-if", json={"longer": longer, **more})


def change(client, *changes, id="RIDGE-1"):
    """Keep changes on the newest revision."""
    revision = client.get(f"/api/jobs/{id}").json()["revision"]
    sent = [{"field": field, "value": value} for field, value in changes]
    return client.post(f"/api/jobs/{id}/change", json={"revision": revision, "changes": sent})


def figure(answer, name):
    """Give one figure's row of a what-if."""
    return next(row for row in answer["figures"] if row["name"] == name)


def number(text):
    """Read the leading number of a text, whichever minus it has."""
    found = re.match(r"(?:about )?([+\u2212-]?[0-9.]+)", text)
    assert found is not None, text
    return float(found[1].replace("\u2212", "-"))


def test_a_bow_answers_with_pictures_from_brace_to_wall(client, ridge):
    """Frames go along the draw, each with its place on the plot of force."""
    found = bow(client, ridge, width=900, plot=500).json()
    frames = found["frames"]
    assert 21 == len(frames)
    assert all(frame["svg"].startswith("<svg") for frame in frames)
    across = [frame["x"] for frame in frames]
    assert across == sorted(across)
    assert all(
        0 < frame["x"] < 500 and 0 < frame["y"] < found["plot"]["height"] for frame in frames
    )
    # The middle bow stands as near to the draw length that was given as its ± says.
    assert frames[-1]["draw_text"].split(" ")[0] in ("28", "29")
    assert number(frames[0]["force_text"]) < 1.0 < number(frames[10]["force_text"])
    assert ["string", "upper cable", "lower cable"] == found["lines"]
    assert 1 == found["revision"]


def test_the_strip_names_what_the_bow_touches(client, ridge):
    """Each touched part is a lane on the line's strip, to the width asked for."""
    strip = bow(client, ridge, width=900).json()["strip"]
    assert 900 == strip["width"]
    assert {"0", "1"} == set(re.findall(r'data-contact="(\d)"', strip["svg"]))
    assert "on the lower wheel" in strip["svg"]


def test_a_theme_is_drawn(client, ridge):
    """In the dark the pictures have the dark's ground."""
    found = bow(client, ridge, theme="dark").json()
    for svg in (found["frames"][0]["svg"], found["plot"]["svg"], found["strip"]["svg"]):
        assert 'fill="#171512"' in svg


def test_a_bow_of_one_wheel_has_no_wheels_apart(client):
    """What cannot be is not told as nought."""
    client.post("/api/jobs", json={"example": "SCREE-1"})
    found = bow(client, "SCREE-1").json()
    assert "wheels apart" not in [row["label"] for row in found["data"]["turns"]["rows"]]
    held = found["data"]["turns"]["held"]
    assert "wheels apart" not in [row["label"] for row in held["rows"]]
    assert ["string", "string", "cable"] == [column["line"] for column in held["columns"]]
    assert all("upper wheel" in column["free_text"] for column in held["columns"][:2])


def test_a_longer_string_lengthens_the_draw(client, ridge):
    """The changed figures come with their change, under the number they were asked by."""
    answer = what_if(client, {"string": "1/8"}, ridge, seq=7).json()
    assert 7 == answer["seq"]
    assert "0.125 in longer" == answer["longer"][0]["text"]
    assert 0.05 < number(figure(answer, "draw_length")["change_text"]) < 0.15
    assert 21 == len(answer["frames"])
    shorter = what_if(client, {"string": "-1/8 in"}, ridge).json()
    assert number(figure(shorter, "draw_length")["change_text"]) < 0
    assert shorter["plot"]["svg"] != answer["plot"]["svg"]


def test_lines_as_they_are_change_nothing(client, ridge):
    """No change is told as none, and the figures are those of the bow."""
    kept = {row["name"]: row["text"] for row in bow(client, ridge).json()["data"]["figures"]}
    answer = what_if(client, {"string": "", "upper cable": "0 mm"}, ridge).json()
    for row in answer["figures"]:
        nothing = row["change_text"] == "none"
        assert nothing or 0.0 == pytest.approx(number(row["change_text"]), abs=2e-3)
        if "\u00b1" in kept[row["name"]]:
            assert kept[row["name"]].split("\u00b1")[0] == row["text"].split("\u00b1")[0]


@pytest.mark.parametrize(
    ("longer", "field", "words"),
    [
        ({"string": "nonsense"}, "longer.string", "one number and a unit"),
        ({"lower cable": "9 in"}, "longer.lower cable", "2 in at most"),
        ({"spare": "1/8"}, "longer.spare", "one of string"),
        ({"string": "1/8 lbf"}, "longer.string", ""),
    ],
)
def test_what_cannot_be_tried_is_told_at_its_line(client, ridge, longer, field, words):
    """The refusal has the line, what to do, and the number it was asked by."""
    answer = what_if(client, longer, ridge, seq=3)
    assert 422 == answer.status_code
    (error,) = answer.json()["errors"]
    assert (field, 3) == (error["field"], answer.json()["seq"])
    assert words in error["rule"] and error["remedy"]


def test_a_bow_without_wheels_answers_for_its_string(client):
    """A recurve is drawn too: a shorter string raises its brace height."""
    client.post("/api/jobs", json={"example": "MERE-1"})
    found = bow(client, "MERE-1").json()
    assert ["string"] == found["lines"]
    names = [row["name"] for row in found["data"]["turns"]["rows"]]
    assert ["brace_height", "draw_weight"] == names
    answer = what_if(client, {"string": "-1/8"}, "MERE-1").json()
    assert 0.05 < number(figure(answer, "brace_height")["change_text"]) < 0.3


def test_a_crossbow_is_asked_for_its_kind(client, ridge):
    """Limbs alone or wheels: the sentence says what to write, and written it is answered."""
    job = client.get(f"/api/jobs/{ridge}").json()["job"]
    cross = {**job, "id": "CROSS-1", "bow": {**job["bow"], "kind": "crossbow"}}
    assert client.post("/api/jobs", json={"job": cross}).is_success
    answer = bow(client, "CROSS-1")
    assert 422 == answer.status_code
    (error,) = answer.json()["errors"]
    assert ("bow.crossbow", "left out") == (error["field"], error["given"])
    assert "compound" in error["remedy"]


def test_what_is_missing_is_named_by_field(client, ridge):
    """Every figure left out is told, each with what to do."""
    assert change(client, ("bow.axle_to_axle", None), ("bow.draw_length", None)).is_success
    answer = bow(client, ridge)
    assert 422 == answer.status_code
    errors = answer.json()["errors"]
    assert ["bow.axle_to_axle", "bow.draw_length"] == [error["field"] for error in errors]
    assert all(error["remedy"] for error in errors)
    assert 404 == bow(client, "NONE-1").status_code


def test_measured_and_wanted_bring_turns(client, ridge):
    """Readings typed as at the tape are kept with their unit, and turns are advised."""
    assert bow(client, ridge).json()["data"]["home"] is None
    kept = change(
        client,
        ("bow.now.draw_length", "29 1/8"),
        ("bow.now.draw_weight", "60.5 lbf"),
        ("bow.wanted.draw_length", "29 +- 1/8 in"),
    ).json()
    assert "29 1/8 in" == kept["job"]["bow"]["now"]["draw_length"]
    home = bow(client, ridge).json()["data"]["home"]
    assert any(act["turns"] for act in home["half"]["acts"])
    assert ["draw length", "draw weight"] == [row["label"] for row in home["half"]["rows"][:2]]
    assert all("%" in row["chance_text"] for row in home["whole"]["rows"])


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("bow.now.brace_height", "soon"),
        ("bow.now.axle_to_axle", "33 ft"),
        ("bow.wanted.draw_weight", "6000 lbf"),
        ("bow.shot", "20000 ft/s"),
    ],
)
def test_a_reading_that_cannot_be_meant_is_not_kept(client, ridge, field, value):
    """It is told at its field."""
    answer = change(client, (field, value))
    assert 422 == answer.status_code
    assert field == answer.json()["errors"][0]["field"]


def test_a_trial_is_learned_from(client, ridge):
    """Turns with readings before and after make the coefficients this bow's own."""
    before = bow(client, ridge).json()["data"]["turns"]
    trial = {
        "turns": [{"line": "string", "turns": 4.0}],
        "before": {"draw_weight": "60.5 lbf", "brace_height": "6 7/8"},
        "after": {"draw_weight": "58.9 lbf", "brace_height": "6 15/16"},
    }
    kept = change(client, ("bow.trials[1]", trial)).json()
    assert "6 7/8 in" == kept["job"]["bow"]["trials"][0]["before"]["brace_height"]
    after = bow(client, ridge).json()["data"]["turns"]
    assert before["source_text"] != after["source_text"]
    weight = {r["name"]: r["per_turn"][0] for r in after["rows"]}["draw_weight"]
    assert -0.45 < number(weight) < -0.3


def test_a_trial_with_a_reading_that_is_none_is_told_there(client, ridge):
    """The field of the refusal leads to the very reading."""
    trial = {"turns": [{"line": "string", "turns": 1.0}], "before": {}, "after": {}}
    trial["after"] = {"draw_length": "long"}
    answer = change(client, ("bow.trials[1]", trial))
    assert "bow.trials[1].after.draw_length" == answer.json()["errors"][0]["field"]


def test_a_bow_is_worked_out_once_for_all_who_wait(client, ridge, monkeypatch):
    """Requests in the same moment share one answer."""
    counted, first = [], threading.Barrier(3)

    def slow(job, plan):
        counted.append(job.id)
        return answer_bow(job, plan)

    monkeypatch.setattr(bows, "answer_bow", slow)
    codes: list[int] = []

    def ask():
        first.wait()
        codes.append(bow(client, ridge).status_code)

    threads = [threading.Thread(target=ask) for _ in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert ([200] * 3, [ridge]) == (codes, counted)


def servings(client, id="RIDGE-1", **how):
    """Ask what the bow asks of the servings, as the line's page does."""
    return client.get(f"/api/jobs/{id}/bow/servings", params=how).json()


def test_the_lines_page_is_told_what_each_serving_is_needed_for(client, ridge):
    """Needed, served and beyond in one line with grains and speed; the lane is the strip's."""
    found = servings(client, ridge, width=900)
    told = {row["name"]: row["verdict_text"] for row in found["servings"]}
    assert ["lower end", "stop", "upper end"] == list(told)
    pattern = r"needed 13 \S+ in, served 17 in, beyond 3 \S+ in = \d gr = .*ft/s.*"
    assert re.fullmatch(pattern, told["lower end"])
    asked = "touches no track; measure where the string stop sits"
    assert f"served 1 3/4 in, {asked}" == told["stop"]
    assert 900 == found["lane"]["width"]
    assert {"0", "1"} == set(re.findall(r'data-contact="(\d)"', found["lane"]["svg"]))
    assert [] == found["errors"]
    # The same lane as on the bow's own strip: bars at the same places.
    bars = re.compile(r'<rect x="([0-9.]+)" y="[0-9.]+" width="([0-9.]+)"\s+height="8"')
    strip = bow(client, ridge, width=900).json()["strip"]["svg"]
    assert bars.findall(found["lane"]["svg"])
    assert bars.findall(found["lane"]["svg"]) == bars.findall(strip)


def test_needed_served_and_beyond_add_up(client, ridge):
    """What is served is what is needed, less what is lacking of it, and what lies beyond."""
    rows = [row for row in servings(client, ridge)["servings"] if row["needed"] is not None]
    assert rows
    for row in rows:
        inside = row["needed"] - row["lacking"]
        assert row["served"] == pytest.approx(inside + row["beyond"], abs=1e-9)


def test_a_bow_that_is_not_known_keeps_no_line_from_its_page(client, ridge):
    """It answers with what is missing, not with a refusal."""
    assert change(client, ("bow.axle_to_axle", None), ("bow.draw_length", None)).is_success
    found = servings(client, ridge)
    assert ["bow.axle_to_axle", "bow.draw_length"] == [one["field"] for one in found["errors"]]
    assert (None, []) == (found["lane"], found["servings"])


def test_readings_answer_where_bows_cannot(client, ridge):
    """Before a trial it is said which to make; after one, turns are advised by it alone."""
    changed = change(client, ("bow.axle_to_axle", None), ("bow.now.draw_weight", "62"))
    assert "62 lbf" == changed.json()["job"]["bow"]["now"]["draw_weight"]
    found = client.get(f"/api/jobs/{ridge}/bow/readings").json()
    assert ["string", "upper cable", "lower cable"] == found["lines"]
    assert found["data"]["home"] is None
    assert "put 2 turns into the string" in found["data"]["trial_text"]
    trial = {
        "turns": [{"line": "string", "turns": 2.0}],
        "before": {"draw_weight": "62.8"},
        "after": {"draw_weight": "62 +- 0.2"},
    }
    assert change(client, ("bow.trials[1]", trial)).is_success
    data = client.get(f"/api/jobs/{ridge}/bow/readings").json()["data"]
    assert "your readings only; 1 trial on this bow" == data["source_text"]
    assert any(act["turns"] > 0 for act in data["home"]["half"]["acts"])


@pytest.mark.parametrize(
    ("point", "field"),
    [
        ({"draw": "soon", "force": "41"}, "draw"),
        ({"draw": "22", "force": "41 +- much"}, "force"),
        ({"draw": "22", "force": "-41"}, "force"),
        ({"draw": "22", "force": "6000"}, "force"),
    ],
)
def test_a_point_that_cannot_be_read_is_told_at_its_part(client, ridge, point, field):
    """Nothing of it is kept."""
    answer = change(client, ("bow.draw_board[1]", point))
    assert 422 == answer.status_code
    (error,) = answer.json()["errors"]
    assert f"bow.draw_board[1].{field}" == error["field"]
    assert error["rule"] and error["remedy"]


def test_a_point_past_the_wall_is_told_at_its_place(client, ridge):
    """Places are counted from 1, as the job file's fields are."""
    for k, (draw, force) in enumerate((("20", "50"), ("44", "20")), start=1):
        assert change(client, (f"bow.draw_board[{k}]", {"draw": draw, "force": force})).is_success
    (error,) = bow(client, ridge).json()["errors"]
    assert "bow.draw_board[2].draw" == error["field"]
