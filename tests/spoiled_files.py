"""Barn files with something wrong, each made from the full barn by one change.

A file is good but for what its name says. `path` and `words` must stand in the
message that refuses it.
"""

import json
import struct
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from core.barnfile import barn_text
from core.barnfile.files import LARGEST_FILE
from tests.specimens import full_barn

__all__ = ["SPOILED", "SpoiledFile", "write_good_files"]

Json = dict[str, Any]

ONE_TRIANGLE = (
    "solid one\nfacet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 1000 0 0\n"
    "vertex 0 1000 0\nendloop\nendfacet\nendsolid one\n"
)
POINT_CLOUD = (
    "ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\n"
    "property float z\nend_header\n0 0 0\n1 0 0\n0 1 0\n"
)


@dataclass(frozen=True, kw_only=True)
class SpoiledFile:
    """How a folder with a good barn file is spoiled, and what is said about it."""

    spoil: Callable[[Path], None]
    path: str
    words: str
    nearest: str | None = None


def write_good_files(folder: Path) -> Path:
    """Write the full barn and its scan; return the barn file."""
    barn_file = folder / "barn.json"
    barn_file.write_bytes(barn_text(full_barn()).encode())
    (folder / "scan.stl").write_text(ONE_TRIANGLE)
    return barn_file


def _data(
    change: Callable[[Json], object], path: str, words: str, near: str | None = None
) -> SpoiledFile:
    """Spoil one value."""

    def spoil(barn_file: Path) -> None:
        data = json.loads(barn_file.read_text())
        change(data)
        barn_file.write_text(json.dumps(data))

    return SpoiledFile(spoil=spoil, path=path, words=words, nearest=near)


def _text(change: Callable[[str], str], path: str, words: str) -> SpoiledFile:
    """Spoil the text."""

    def spoil(barn_file: Path) -> None:
        barn_file.write_text(change(barn_file.read_text()))

    return SpoiledFile(spoil=spoil, path=path, words=words)


def _file(spoil: Callable[[Path], object], path: str, words: str) -> SpoiledFile:
    """Spoil the file itself or one beside it."""

    def run(barn_file: Path) -> None:
        spoil(barn_file)

    return SpoiledFile(spoil=run, path=path, words=words)


def _fixture(data: Json, kind: str) -> Json:
    return next(each for each in data["fixtures"] if each["kind"] == kind)


def _at(kind: str) -> str:
    kinds = [fixture.kind for fixture in full_barn().fixtures]
    return f"fixtures[{kinds.index(kind)}]"


def _as_folder(barn_file: Path) -> None:
    barn_file.unlink()
    barn_file.mkdir()


def _too_large(barn_file: Path) -> None:
    with barn_file.open("r+b") as file:
        file.truncate(100_000_000)


def _renamed(data: Json, old: str, new: str) -> None:
    data[new] = data.pop(old)


TEXTS = {
    "truncated": _text(lambda t: t[: len(t) // 2], "line ", "expected"),
    "truncated in a text": _text(
        lambda t: t[: t.index("full barn") + 3], "line 5", "closing quote"
    ),
    "comma missing": _text(
        lambda t: t.replace('"unit": "in",', '"unit": "in"'),
        "line 5, column 3",
        "a comma",
    ),
    "quotes missing": _text(
        lambda t: t.replace('"unit"', "unit"),
        "line 4, column 3",
        "key in double quotes",
    ),
    "comma too many": _text(
        lambda t: t.replace('"unit": "in",', '"unit": "in",,'),
        "line 4",
        "double quotes",
    ),
    "words after the end": _text(lambda t: t + "{}", "line ", "the end of the file"),
    "line break in a text": _text(
        lambda t: t.replace('"full barn"', '"full\nbarn"'),
        "line 5",
        "without line breaks",
    ),
    "wrong escape": _text(
        lambda t: t.replace('"full barn"', r'"full\q"'), "line 5", "escapes of JSON"
    ),
    "a list": _text(lambda t: f"[{t}]", "file", "found a list of 1"),
    "a bare number": _file(lambda f: f.write_text("12"), "file", "found 12"),
    "null": _file(lambda f: f.write_text("null"), "file", "found null"),
    "empty": _file(lambda f: f.write_text(""), "file", "found an empty file"),
    "blank": _file(lambda f: f.write_text(" \n\t\n"), "file", "found an empty file"),
    "brackets without end": _file(
        lambda f: f.write_text("[" * 100_000), "file", "brackets"
    ),
    "a number of thousands of digits": _text(
        lambda t: t.replace('"liftlane": 1', '"liftlane": ' + "1" * 5000),
        "file",
        "thousands of digits",
    ),
    "a key twice": _text(
        lambda t: t.replace('"unit": "in"', '"unit": "in", "unit": "ft"'),
        "unit",
        "more than once",
    ),
    "a key twice deep inside": _text(
        lambda t: t.replace('"station": 168', '"station": 168, "station": 170'),
        "runs[0].supports[1].station",
        "more than once",
    ),
    "NaN": _text(
        lambda t: t.replace('"station": 168', '"station": NaN'),
        "runs[0].supports[1].station",
        "found NaN, expected a length of at least 0",
    ),
    "infinity": _text(
        lambda t: t.replace('"station": 168', '"station": Infinity'),
        "runs[0].supports[1].station",
        "found Infinity",
    ),
    "minus infinity": _text(
        lambda t: t.replace('"station": 168', '"station": -Infinity'),
        "runs[0].supports[1].station",
        "found -Infinity",
    ),
    "a number beyond all doubles": _text(
        lambda t: t.replace('"station": 168', '"station": 1e999'),
        "runs[0].supports[1].station",
        "found Infinity",
    ),
    "half of a pair of code units": _text(
        lambda t: t.replace('"full barn"', r'"full \ud800"'),
        "name",
        "control characters",
    ),
    "a control character": _text(
        lambda t: t.replace('"full barn"', r'"full \u001b[31m"'),
        "name",
        "control characters",
    ),
}

FILES = {
    "no file": _file(Path.unlink, "file", "no file of this name"),
    "a folder": _file(_as_folder, "file", "a folder"),
    "100 MB": _file(_too_large, "file", f"at most {LARGEST_FILE / 1e6:g} MB"),
    "binary": _file(
        lambda f: f.write_bytes(struct.pack("<64d", *range(64))),
        "file",
        "which is text",
    ),
    "not UTF-8": _file(
        lambda f: f.write_bytes(f.read_bytes() + b"\xff"), "file", "no UTF-8 text"
    ),
    "UTF-16": _file(
        lambda f: f.write_text(f.read_text(), encoding="utf-16"),
        "file",
        "which is text",
    ),
    "mesh missing": _file(
        lambda f: (f.parent / "scan.stl").unlink(), _at("scan") + ".file", "scan.stl"
    ),
    "mesh empty": _file(
        lambda f: (f.parent / "scan.stl").write_text(""), _at("scan") + ".file", "empty"
    ),
    "mesh that is none": _file(
        lambda f: (f.parent / "scan.stl").write_text("x"),
        _at("scan") + ".file",
        "scan.stl",
    ),
}


def _point_cloud(barn_file: Path) -> None:
    (barn_file.parent / "cloud.ply").write_text(POINT_CLOUD)
    barn_file.write_text(barn_file.read_text().replace("scan.stl", "cloud.ply"))


FILES["point cloud for a mesh"] = _file(_point_cloud, _at("scan") + ".file", "point")

HEADS = {
    "no version": _data(
        lambda d: d.pop("liftlane"), "liftlane", "found nothing, expected the version"
    ),
    "version misspelt": _data(
        lambda d: _renamed(d, "liftlane", "liftlan"), "liftlane", "nothing", "liftlan"
    ),
    "version as text": _data(lambda d: d.update(liftlane="1"), "liftlane", 'found "1"'),
    "version true": _data(lambda d: d.update(liftlane=True), "liftlane", "found true"),
    "negative version": _data(lambda d: d.update(liftlane=-1), "liftlane", "found -1"),
    "newer version": _data(
        lambda d: d.update(liftlane=2), "liftlane", "a newer program wrote this file"
    ),
    "no unit": _data(lambda d: d.pop("unit"), "unit", "found null, expected the unit"),
    "unknown unit": _data(lambda d: d.update(unit="inch"), "unit", "one of in, ft, mm"),
    "unit that is none": _data(lambda d: d.update(unit=1), "unit", "found 1"),
    "schema that is no text": _data(
        lambda d: d.update({"$schema": 3}), "$schema", "file name of the schema"
    ),
    "unknown key on top": _data(
        lambda d: d.update(fixture=[]), "fixture", "the unknown key", "fixtures"
    ),
    "no room": _data(lambda d: d.pop("room"), "room", "found nothing"),
    "no name": _data(lambda d: d.pop("name"), "name", "expected a text"),
    "name empty": _data(lambda d: d.update(name=" "), "name", "not empty"),
}

TYPES = {
    "text for a number": _data(
        lambda d: d["room"].update(length="long"), "room.length", 'found "long"'
    ),
    "unit misspelt in a length": _data(
        lambda d: d["room"].update(length="40 fooot"),
        "room.length",
        '"fooot" is not a unit',
    ),
    "list for a number": _data(
        lambda d: d["room"].update(length=[480]), "room.length", "found a list of 1"
    ),
    "object for a number": _data(
        lambda d: d["room"].update(length={}), "room.length", "an object in braces"
    ),
    "true for a number": _data(
        lambda d: d["room"].update(length=True), "room.length", "found true"
    ),
    "null for a number": _data(
        lambda d: d["room"].update(length=None), "room.length", "found null"
    ),
    "number for a text": _data(lambda d: d.update(name=5), "name", "found 5"),
    "number for yes or no": _data(
        lambda d: d["hoists"][0]["winch"].update(on_lumber=1),
        "hoists[0].winch.on_lumber",
        "expected true or false",
    ),
    "object for a list": _data(lambda d: d.update(runs={}), "runs", "expected a list"),
    "text for an object": _data(
        lambda d: d["runs"].append("run-3"), "runs[2]", "expected an object in braces"
    ),
    "text for a fixture": _data(
        lambda d: d["fixtures"].insert(0, 5), "fixtures[0]", "found 5"
    ),
    "point of two numbers": _data(
        lambda d: d["hoists"][0].update(pull_point=[1, 2]),
        "hoists[0].pull_point",
        "a list of 3 numbers",
    ),
    "text in a point": _data(
        lambda d: d["runs"][0].update(start=[24, "sixty"]),
        "runs[0].start[1]",
        '"sixty"',
    ),
    "fraction for a count": _data(
        lambda d: d["hoists"][0]["winch"].update(dead_wraps=2.5),
        "hoists[0].winch.dead_wraps",
        "a whole number of at least 0 and at most 20",
    ),
    "integer beyond any double": _data(
        lambda d: d["room"].update(length=10**400), "room.length", "beyond all bounds"
    ),
}

LIMITS = {
    "negative size": _data(
        lambda d: d["room"].update(length=-480),
        "room.length",
        "a length of more than 0",
    ),
    "size of zero": _data(
        lambda d: d["room"].update(width=0), "room.width", "more than 0 (in in, or text"
    ),
    "negative size as text": _data(
        lambda d: d["room"].update(width="-3 ft"), "room.width", "more than 0"
    ),
    "length of a thousand miles": _data(
        lambda d: d["room"].update(length=7e7), "room.length", "at most 1e+06"
    ),
    "angle too wide": _data(
        lambda d: _fixture(d, "inlet").update(opening=200),
        _at("inlet") + ".opening",
        "at least 0 and at most 183.346 (in degrees",
    ),
    "voltage of zero": _data(
        lambda d: d["electrical"].update(voltage="0 kV"),
        "electrical.voltage",
        "more than 0",
    ),
    "air too hot": _data(
        lambda d: d["electrical"].update(temperature=90),
        "electrical.temperature",
        "at most 60",
    ),
    "three parts of line": _data(
        lambda d: d["hoists"][0].update(parts=3), "hoists[0].parts", "one of 1, 2"
    ),
    "pen of two corners": _data(
        lambda d: d["room"]["pens"][0].update(outline=[[0, 0], [9, 9]]),
        "room.pens[0].outline",
        "a list of at least 3",
    ),
    "hull of three points": _data(
        lambda d: _fixture(d, "hull")["points"].pop(),
        _at("hull") + ".points",
        "at least 4",
    ),
}

NAMES = {
    "unknown key": _data(
        lambda d: d["runs"][0].update(workingheight=60),
        "runs[0].workingheight",
        "the unknown key",
        "working_height",
    ),
    "unknown key in a fixture": _data(
        lambda d: _fixture(d, "light").update(hight=3),
        _at("light") + ".hight",
        "unknown key",
    ),
    "kind misspelt": _data(
        lambda d: _fixture(d, "feed-line").update(kind="feedline"),
        _at("feed-line") + ".kind",
        'found "feedline", expected one of inlet, light',
        "feed-line",
    ),
    "kind missing": _data(
        lambda d: _fixture(d, "post").pop("kind"), _at("post") + ".kind", "one of inlet"
    ),
    "kind that is no text": _data(
        lambda d: _fixture(d, "post").update(kind=["post"]),
        _at("post") + ".kind",
        "a list",
    ),
    "ceiling of no kind": _data(
        lambda d: d["room"].update(ceiling={"kind": "gabel", "eave": 1}),
        "room.ceiling.kind",
        "one of flat, mono-slope, gable, stepped",
        "gable",
    ),
    "choice misspelt": _data(
        lambda d: d["room"]["doors"][0].update(wall="fornt"),
        "room.doors[0].wall",
        "one of front, back, left, right",
        "front",
    ),
    "required key missing": _data(
        lambda d: _fixture(d, "gate").pop("height"),
        _at("gate") + ".height",
        "found nothing",
    ),
    "part of no kind": _data(
        lambda d: d["parts"][0].update(kind="tub"),
        "parts[0].kind",
        "one of tube",
        "tube",
    ),
}

LINKS = {
    "two runs of one id": _data(
        lambda d: d["runs"][1].update(id="run-1"), "runs[1].id", "the id of runs[0]"
    ),
    "a fixture with the id of a pen": _data(
        lambda d: _fixture(d, "light").update(id="pen-1"),
        _at("light") + ".id",
        "the id of room.pens[0]",
    ),
    "a fixture that goes by the name of the supply": _data(
        lambda d: _fixture(d, "light").update(id="supply"),
        _at("light") + ".id",
        "the id of electrical.supply",
    ),
    "two own parts of one id": _data(
        lambda d: d["parts"][1].update(id="own-tube"),
        "parts[1].id",
        "the id of parts[0]",
    ),
    "strip of a run": _data(
        lambda d: d["runs"][0].update(strip="stripe-1"),
        "runs[0].strip",
        "the id of a strip",
        "strip-1",
    ),
    "strip of a pen": _data(
        lambda d: d["room"]["pens"][3].update(strip="nowhere"),
        "room.pens[3].strip",
        "nowhere",
    ),
    "run of a cable": _data(
        lambda d: d["hoists"][0]["cables"][0].update(run="run1"),
        "hoists[0].cables[0].run",
        "the id of a run",
        "run-1",
    ),
    "run of a cable that is a light": _data(
        lambda d: d["hoists"][0]["cables"][0].update(run="light-1"),
        "hoists[0].cables[0].run",
        'found "light-1", the id of a light, expected the id of a run',
    ),
    "run of a lead": _data(
        lambda d: d["electrical"]["leads"][1].update(run="run-9"),
        "electrical.leads[1].run",
        "run-9",
    ),
    "run of a jumper": _data(
        lambda d: d["electrical"]["jumpers"][0].update(to_run="?"),
        "electrical.jumpers[0].to_run",
        "the id of a run",
    ),
    "bond of nothing": _data(
        lambda d: d["electrical"]["bonds"][0].update(subject="lihgt-1"),
        "electrical.bonds[0].subject",
        "the id of a thing in this barn",
        "light-1",
    ),
    "tube that is not in the catalogue": _data(
        lambda d: d["runs"][0].update(tube="emt-34"),
        "runs[0].tube",
        "a tube",
        "emt-3-4",
    ),
    "tube that is a pulley": _data(
        lambda d: d["runs"][0].update(tube="own-pulley"),
        "runs[0].tube",
        'found "own-pulley", the id of a pulley, expected the id of a tube',
    ),
    "measured support": _data(
        lambda d: d["record"]["heights"][0].update(support="support-1-11"),
        "record.heights[0].support",
        "the id of a support",
        "support-1-1",
    ),
}

SHAPES = {
    "pen that crosses itself": _data(
        lambda d: d["room"]["pens"][0].update(
            outline=[[0, 0], [120, 120], [120, 0], [0, 120]]
        ),
        "room.pens[0].outline",
        "an outline that crosses itself",
    ),
    "pen that goes back over itself": _data(
        lambda d: d["room"]["pens"][0].update(outline=[[0, 0], [120, 0], [60, 0]]),
        "room.pens[0].outline",
        "crosses itself",
    ),
    "pen with a corner twice": _data(
        lambda d: d["room"]["pens"][0]["outline"].insert(1, [0, 0]),
        "room.pens[0].outline",
        "two neighbouring corners",
    ),
    "pen of a thousand corners": _data(
        lambda d: d["room"]["pens"][0].update(
            outline=[[k, k * k] for k in range(1000)]
        ),
        "room.pens[0].outline",
        "at most 300 corners",
    ),
    "run of no length": _data(
        lambda d: d["runs"][0].update(end=d["runs"][0]["start"]),
        "runs[0].end",
        "a run of 0 in",
    ),
    "support off its run": _data(
        lambda d: d["runs"][1]["supports"][2].update(station=400),
        "runs[1].supports[2].station",
        "400 in, off the run, expected a station of at most 360 in",
    ),
    "two supports at one station": _data(
        lambda d: d["runs"][1]["supports"][2].update(station=168),
        "runs[1].supports[2].station",
        "where another support is",
    ),
    "points without number": _data(
        lambda d: d["runs"][0]["points"].update(spacing=1e-9),
        "runs[0].points.spacing",
        "at most 10000",
    ),
    "sticks without number": _data(
        lambda d: d["runs"][0].update(stick_length=1e-9),
        "runs[0].stick_length",
        "at most",
    ),
    "trusses without number": _data(
        lambda d: d["room"].update(trusses={"spacing": 1e-9}),
        "room.trusses.spacing",
        "at most 2000 trusses",
    ),
    "trusses out of order": _data(
        lambda d: d["room"].update(trusses={"stations": [0, 96, 48]}),
        "room.trusses.stations",
        "in rising order",
    ),
    "ridge outside the room": _data(
        lambda d: d["room"].update(
            ceiling={"kind": "gable", "eave": 96, "ridge": 120, "ridge_y": 300}
        ),
        "room.ceiling.ridge_y",
        "300 in, outside the room",
    ),
    "ridge below the eave": _data(
        lambda d: d["room"].update(
            ceiling={"kind": "gable", "eave": 120, "ridge": 96, "ridge_y": 138}
        ),
        "room.ceiling.ridge",
        "below the eave",
    ),
    "a step without a height": _data(
        lambda d: d["room"]["ceiling"]["heights"].pop(),
        "room.ceiling.heights",
        "1 heights, expected as many as there are starts, 2",
    ),
    "steps that do not start at the wall": _data(
        lambda d: d["room"]["ceiling"].update(starts=[12, 240]),
        "room.ceiling.starts",
        "a first start of 0",
    ),
    "two main doors": _data(
        lambda d: d["room"]["doors"][1].update(main=True),
        "room.doors[1].main",
        "one main",
    ),
    "feed line of no length": _data(
        lambda d: _fixture(d, "feed-line").update(path=[[0, 0, 80], [0, 0, 80]]),
        _at("feed-line") + ".path[1]",
        "a piece of no length",
    ),
    "feed line of one point": _data(
        lambda d: _fixture(d, "feed-line").update(path=[[0, 0, 80]]),
        _at("feed-line") + ".path",
        "a list of at least 2",
    ),
    "feed drop upside down": _data(
        lambda d: _fixture(d, "feed-drop").update(top=20),
        _at("feed-drop") + ".top",
        "more than the bottom's",
    ),
    "beam of no length": _data(
        lambda d: _fixture(d, "beam").update(end=_fixture(d, "beam")["start"]),
        _at("beam") + ".end",
        "the same point as the start",
    ),
    "hull in one plane": _data(
        lambda d: _fixture(d, "hull").update(
            points=[[0, 0, 0], [9, 0, 0], [9, 9, 0], [0, 9, 0]]
        ),
        _at("hull") + ".points",
        "points in one plane",
    ),
    "pull point that stays": _data(
        lambda d: d["hoists"][0].update(pull_towards=d["hoists"][0]["pull_point"]),
        "hoists[0].pull_towards",
        "the pull point itself",
    ),
    "jumper from a run to itself": _data(
        lambda d: d["electrical"]["jumpers"][0].update(to_run="run-1"),
        "electrical.jumpers[0].to_run",
        "expected another run",
    ),
    "scan from elsewhere": _data(
        lambda d: _fixture(d, "scan").update(file="../../scan.stl"),
        _at("scan") + ".file",
        "a path relative to the barn file",
    ),
    "scan with a whole path": _data(
        lambda d: _fixture(d, "scan").update(file="C:\\scans\\a.stl"),
        _at("scan") + ".file",
        "a path relative to the barn file",
    ),
}

SPOILED: dict[str, SpoiledFile] = {
    **TEXTS,
    **FILES,
    **HEADS,
    **TYPES,
    **LIMITS,
    **NAMES,
    **LINKS,
    **SHAPES,
}
