"""The handbook's chapters: found in order, named after their files, and each what a chapter has to be."""

from __future__ import annotations

from pathlib import Path

import pytest

from decalgen.core.errors import InputError
from decalgen.pages import handbook


def test_a_file_more_is_a_chapter_more_in_the_order_of_the_numbers(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "100-last.md").write_text("# Last\n\nEnds it.\n", encoding="utf-8")
    (tmp_path / "20-put-on.md").write_text(
        "# Put on\n\nLays\nit on.\n\n## Soak\n\n```sh\n## no\n```\n", encoding="utf-8"
    )
    (tmp_path / "30-wait.md").write_text("# Wait\n\nDries.\n", encoding="utf-8")
    (tmp_path / "5-cut.md").write_text("# Cut\n\nFrees it.\n", encoding="utf-8")
    (tmp_path / "notes.md").write_text("nothing of the handbook", encoding="utf-8")
    monkeypatch.setattr(handbook, "chapters_folder", lambda: tmp_path)
    found = handbook.chapters.__wrapped__()
    assert [(one.name, one.title, one.about) for one in found] == [
        ("cut", "Cut", "Frees it."),
        ("put-on", "Put on", "Lays it on."),
        ("wait", "Wait", "Dries."),
        ("last", "Last", "Ends it."),
    ]
    assert found[1].sections() == ("Soak",)


def test_a_chapter_needs_a_title(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "10-bare.md").write_text("No title.\n", encoding="utf-8")
    monkeypatch.setattr(handbook, "chapters_folder", lambda: tmp_path)
    with pytest.raises(InputError, match=r"10-bare\.md"):
        handbook.chapters.__wrapped__()


def test_without_chapters_it_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(handbook, "chapters_folder", lambda: tmp_path)
    with pytest.raises(InputError, match="missing"):
        handbook.chapters.__wrapped__()


def test_a_chapter_is_found_by_its_name_or_its_title_and_a_slip_is_guessed() -> None:
    assert handbook.chapter("findings") is handbook.chapter("FINDINGS")
    with pytest.raises(InputError) as refused:
        handbook.chapter("findngs")
    assert "findings" in refused.value.fix


def test_names_and_titles_are_there_once_and_every_chapter_says_what_it_is_for() -> None:
    found = handbook.chapters()
    assert len({one.name for one in found}) == len({one.title for one in found}) == len(found)
    for one in found:
        assert len(one.about.split()) >= 8 and one.about.endswith("."), one.name
        assert not one.about.startswith(("#", "|", "<", "`")), one.name
