"""Names as parts of file names, within what file systems take: 255 bytes, no signs of their own (POSIX.1-2017, 3.282
and NAME_MAX; Microsoft, "Naming Files, Paths, and Namespaces")."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from decalgen.core.names import of_variant, slug, slugs


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("Door band, left", "door-band-left"),
        ("  A5 / white  ", "a5-white"),
        ("Straße 7½", "strasse-7½"),
        ("赤い帯", "赤い帯"),
        ("E\N{COMBINING ACUTE ACCENT}toile", "étoile"),
        ("…", "decal"),
    ],
)
def test_a_name_in_a_file_name(name: str, expected: str) -> None:
    assert slug(name) == expected


def test_what_stands_where_nothing_is_left() -> None:
    assert slug("---", "film") == "film"


@given(st.text(max_size=300))
def test_any_name_makes_a_part_that_every_file_system_takes(name: str) -> None:
    part = slug(name)
    assert part and len(part.encode("utf-8")) <= 120
    assert not set(part) & set('<>:"/\\|?*. ') and part == part.strip("-")
    assert slug(part) == part or not part.isascii()


def test_names_with_one_slug_get_a_number_each() -> None:
    names = ["door band", "Door-band", "door band 2", "bonnet", "door band"]
    found = slugs(names)
    assert list(found) == names[:4] and len(set(found.values())) == 4
    assert found["door band"] == slug("door band") == "door-band"
    assert of_variant("van", None) == "van" and of_variant("van", "Sea Green") == "van+sea-green"
