"""`decalgen new`: a commented job file to go on from, and the measuring card for its panels."""

from __future__ import annotations

import re
from pathlib import Path

from decalgen.commands.options import Result
from decalgen.core.errors import DecalgenError, OutputError
from decalgen.core.files import write_files
from decalgen.core.values import dataclass
from decalgen.export import render

_PANEL = re.compile(r"^\s*(?P<name>[^=]+?)\s*=\s*(?P<w>[^x×]+?)\s*[x×]\s*(?P<h>[^x×]+?)\s*$")


@dataclass(frozen=True)
class Answers:
    """What was asked or given: flat ``panels`` as 'door=22.4x11.6', ``bent`` ones as 'bonnet=24.2/1.1/19.5' (chord,
    rise, length); a size of '?' is still to be measured."""

    job: Path
    panels: tuple[str, ...] = ()
    bent: tuple[str, ...] = ()
    layouts: tuple[str, ...] = ()
    title: str | None = None
    scale: str = "1:43"
    body: str = "grey"


@dataclass(frozen=True)
class _Panel:
    """A panel with its sizes in mm: (name of the size, reading or None, a guess, the error to expect of it)."""

    name: str
    kind: str
    sizes: tuple[tuple[str, float | None, float, float], ...]


def new_job(answers: Answers) -> Result:
    """Writes the job and, beside it, the card. Never overwrites a job: raises OutputError."""
    from decalgen.pages.measuring_card import CardPanel, measuring_card

    path = answers.job if answers.job.suffix else answers.job.with_suffix(".yaml")
    if path.exists():
        raise OutputError(f"'{path}' already exists", fix="choose another name, or move the old file away")
    check_body(answers.body)
    panels = [_flat(text) for text in answers.panels] + [_bent(text) for text in answers.bent]
    panels = panels or [_flat("door=?x?")]
    names = [panel.name for panel in panels]
    if len(set(names)) < len(names):
        raise DecalgenError("two panels have the same name", fix="give each panel a name of its own")
    title = answers.title or path.stem.replace("-", " ").capitalize()
    text = _job_text(path.stem, title, answers, panels)
    card = measuring_card(
        title, [CardPanel(p.name, p.kind, tuple((key, value) for key, value, _, _ in p.sizes)) for p in panels]
    )
    pdf = render(card, ".pdf")[0]
    files = write_files({path: text.encode("utf-8"), path.with_name(f"{path.stem}-card.pdf"): pdf})
    lines = ("next: measure with the card, type the sizes in, then `decalgen check " + str(path) + "`",)
    return Result(files, lines=lines)


def check_body(text: str) -> None:
    """Raises DecalgenError for a body that no job file can have: no colour, or one that a check would refuse."""
    from decalgen.job.colours import parse_colour

    try:
        parse_colour(text)
    except DecalgenError as error:
        raise DecalgenError(f"the body: {error.message}", fix=error.fix) from None


def _flat(text: str) -> _Panel:
    match = _PANEL.match(text)
    if match is None:
        raise DecalgenError(f"'{text}' is not a panel", fix="write name=width x height, such as door=22.4x11.6")
    sizes = (("width", _size(match["w"]), 20.0, 0.05), ("height", _size(match["h"]), 10.0, 0.05))
    return _Panel(_name(match["name"]), "flat", sizes)


def _bent(text: str) -> _Panel:
    name, equals, rest = text.partition("=")
    values = [part.strip() for part in rest.split("/")]
    if not equals or len(values) != 3:
        raise DecalgenError(
            f"'{text}' is not a bent panel", fix="write name=chord/rise/length, such as bonnet=24.2/1.1/19.5"
        )
    chord, rise, length = (_size(value) for value in values)
    if chord is not None and rise is not None and rise > chord / 2:
        raise DecalgenError(
            f"'{name.strip()}' rises {rise:g} mm over a chord of {chord:g} mm: more than a half circle",
            fix="write the chord first, then the rise",
        )
    sizes = (("chord", chord, 24.0, 0.05), ("rise", rise, 1.0, 0.10), ("length", length, 20.0, 0.05))
    return _Panel(_name(name.strip()), "bent", sizes)


def _name(name: str) -> str:
    if not re.fullmatch(r"[^\W\d_][\w \-]*", name):
        raise DecalgenError(f"'{name}' cannot be the name of a panel", fix="use letters, digits, spaces and hyphens")
    return name


def _size(text: str) -> float | None:
    """A size in mm, with or without the unit; '?' is none yet."""
    from decalgen.core.lengths import length

    if text == "?":
        return None
    if re.fullmatch(r"[0-9]+(\.[0-9]+)?", text):
        text += " mm"
    try:
        value = length(text).value
    except ValueError as error:
        raise DecalgenError(f"'{text}' is not a size: {error}", fix="write it like 22.4 or 22.4 mm") from None
    if not 0 < value < 1000:
        raise DecalgenError(
            f"a panel of {value:g} mm is too large or too small for a toy", fix="write it in mm, like 22.4"
        )
    return value


def _job_text(name: str, title: str, answers: Answers, panels: list[_Panel]) -> str:
    from decalgen.job.layouts import load_layout

    rows = [
        f"# {title}: a job for decalgen. Text after # is a note; decalgen ignores it.",
        f"job: {_word(name)}",
        f"title: {_quoted(title)}",
        f"scale: {_quoted(answers.scale)}",
        '# date: "2026-03-14"   # the day of the job, for its papers; its year goes on a reproduction mark',
        "film: white            # white, or clear: dark inks on a light body do well on clear film",
        "body: body",
        f"paints: {{body: {_quoted(answers.body)}}}",
        "inks:",
        "  white: {kind: white}",
        '  harbour teal: {colour: "#127077"}',
        "panels:",
    ]
    for panel in panels:
        rows.append(f"  {panel.name}:")
        for key, value, guess, error in panel.sizes:
            if value is None:
                rows.append(f"    {key}: {guess:.2f} mm ± {error:.2f}     # a guess: measure it, three readings")
            else:
                rows.append(f"    {key}: {value:.2f} mm ± {error:.2f}")
        rows.append("    # obstacles:")
        rows.append("    #   handle: {rectangle: [3.0 mm, 0.8 mm], at: [12 mm, 7 mm], clearance: 0.3 mm}")
    rows.append("decals:")
    chosen = [load_layout(layout).name for layout in answers.layouts]
    if chosen:
        for n, layout in enumerate(chosen):
            panel = panels[n % len(panels)]
            rows += [f"  {layout.replace('-', ' ')}:", f"    layout: {layout}", f"    panel: {panel.name}"]
    else:
        panel = panels[0]
        rows += [
            f"  {panel.name} band:",
            f"    panel: {panel.name}",
            "    hands: both                       # a handed pair: drawn once, for the left",
            "    at: bottom",
            "    width: panel.width - 2 * 1.0 mm",
            "    height: panel.height / 2",
            "    artwork:",
            "      - field: {ink: harbour teal}",
            "      - lettering: {text: STORES, cap height: panel.height / 5, ink: white}",
        ]
    return "\n".join(rows) + "\n"


def _word(text: str) -> str:
    return text if re.fullmatch(r"[A-Za-z][\w-]*", text) else _quoted(text)


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'
