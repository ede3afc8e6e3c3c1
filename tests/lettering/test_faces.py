"""The shipped faces: manifest, licences, files as published."""

from __future__ import annotations

import hashlib
import io
import json
import re
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from decalgen.core.resources import resource_folder
from decalgen.lettering.faces import face, face_bytes, font_faces, paper_face
from decalgen.lettering.printable import least_of
from decalgen.lettering.typeface import UnknownFace
from decalgen.lettering.typesetting import typeset

NAMES = [f.name for f in font_faces()]


def test_there_are_faces_for_the_usual_liveries() -> None:
    assert len(font_faces()) >= 28
    assert len(set(NAMES)) == len(NAMES)
    wanted = {
        "grotesque",
        "condensed",
        "road sign",
        "slab",
        "stencil",
        "script",
        "geometric",
        "square",
        "roman",
        "fairground",
        "blackletter",
    }
    assert wanted <= {f.category for f in font_faces()}


def test_the_whole_folder_stays_small() -> None:
    total = sum(len(face_bytes(f.file)) for f in font_faces())
    assert total < 7_000_000


@pytest.mark.parametrize("name", NAMES)
def test_the_licence_lies_beside_the_file(name: str) -> None:
    f = face(name)
    text = resource_folder("fonts").joinpath(f.licence_file).read_text(encoding="utf-8")
    marks = {"OFL-1.1": "SIL OPEN FONT LICENSE Version 1.1", "Apache-2.0": "Version 2.0, January 2004"}
    assert marks[f.licence] in text
    assert f.licence_file.rpartition("/")[0] == f.file.rpartition("/")[0]


@pytest.mark.parametrize("name", NAMES)
def test_the_copyright_line_is_the_files_own(name: str) -> None:
    f = face(name)
    font = TTFont(io.BytesIO(face_bytes(f.file)), lazy=True)
    assert f.copyright.startswith("Copyright")
    own = "".join(c if c.isprintable() else " " for c in font["name"].getDebugName(0))
    assert "".join(f.copyright.split()) == "".join(own.split())
    assert f.version in font["name"].getDebugName(5)


@pytest.mark.parametrize("name", NAMES)
def test_the_file_is_as_published(name: str) -> None:
    f = face(name)
    assert hashlib.sha256(face_bytes(f.file)).hexdigest() == f.sha256
    for reserved in f.reserved_names:
        assert reserved in f.name


def test_a_changed_file_says_what_was_changed_and_carries_no_reserved_name() -> None:
    # OFL 1.1, condition 3: no changed file may carry a reserved name.
    listed = json.loads(resource_folder("fonts").joinpath("faces.json").read_text(encoding="utf-8"))["face"]
    changed = {entry["name"]: entry for entry in listed if "changed" in entry}
    assert sorted(changed) == ["Besley", "Michroma", "Saira Stencil One"]
    for name, entry in changed.items():
        assert face(name).reserved_names == () and entry["package"] and "makers'" in entry["changed"]


def test_every_name_that_the_licences_reserve_is_listed() -> None:
    for f in font_faces():
        head = resource_folder("fonts").joinpath(f.licence_file).read_text(encoding="utf-8")[:400]
        if f.licence != "OFL-1.1":
            assert f.reserved_names == ()
            continue
        said = " ".join(f"{head.split('This Font Software')[0]} {f.copyright}".split())
        # In quotation marks of either kind; one licence has none.
        names = [
            re.findall(r"""["']([^"']+)["']""", part) or [re.split(r"[.,]", part)[0].strip()]
            for part in re.split(r"(?i)Reserved ?Font ?Names?", said)[1:]
        ]
        assert set(f.reserved_names) == {name for found in names for name in found}, f.name
    assert sum(len(f.reserved_names) for f in font_faces()) == 11


def test_no_face_is_of_the_family_of_a_target() -> None:
    # What measured lettering is judged by would be worthless if its original were among the faces.
    def family(data: bytes) -> set[str]:
        names = TTFont(io.BytesIO(data), lazy=True)["name"]
        return {name for number in (1, 16) if (name := names.getDebugName(number))}

    folder = Path(__file__).parent / "targets"
    targets = {name for path in folder.glob("*.ttf") for name in family(path.read_bytes())}
    assert len(targets) >= 12
    for f in font_faces():
        for mine in {f.name, *family(face_bytes(f.file))}:
            for theirs in targets:
                one, other = sorted((mine.split(), theirs.split()), key=len)
                assert other[: len(one)] != one, (f.name, theirs)


@pytest.mark.parametrize("name", NAMES)
def test_strokes_hold_from_the_cap_height_that_is_told(name: str) -> None:
    # Two dots of 600 dpi: common practice, no source.
    f = face(name)

    def thinnest(cap: float) -> float:
        return least_of(typeset("Harbour Stores 147", face=name, cap_height=cap).letters, f.category == "script")[0]

    assert thinnest(f.smallest_cap) >= 2 * 25.4 / 600
    if f.smallest_cap != 1.6:
        assert thinnest(1.6) < 2 * 25.4 / 600
        assert f"capitals from {f.smallest_cap:g} mm" in f.suits


@pytest.mark.parametrize("name", NAMES)
def test_axes_in_the_manifest_are_the_files_own(name: str) -> None:
    f = face(name)
    font = TTFont(io.BytesIO(face_bytes(f.file)), lazy=True)
    real = {a.axisTag: (a.minValue, a.maxValue) for a in font["fvar"].axes} if "fvar" in font else {}
    assert {a.tag: (a.least, a.most) for a in f.axes} == real
    assert all(a.least <= a.default <= a.most for a in f.axes)


def test_names_are_forgiving() -> None:
    assert face("roboto-flex") is face("ROBOTO FLEX")
    assert face("Alfa slab one").file == "alfa-slab-one/AlfaSlabOne-Regular.ttf"


def test_an_unknown_face_offers_the_nearest() -> None:
    with pytest.raises(UnknownFace) as caught:
        face("Lobstre")
    assert "Lobstre" in caught.value.message
    assert caught.value.fix == "did you mean 'Lobster'?"
    with pytest.raises(UnknownFace) as caught:
        face("q" * 5000)
    assert len(caught.value.message) < 150
    assert "Archivo" in caught.value.fix


def test_the_paper_face_has_tabular_figures() -> None:
    font = TTFont(io.BytesIO(face_bytes(paper_face().file)), lazy=True)
    assert "tnum" in {record.FeatureTag for record in font["GSUB"].table.FeatureList.FeatureRecord}
