"""What the commands of the film drawer do."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from decalgen.commands.options import Answer, FileGroup, Result
from decalgen.commands.rendering import save
from decalgen.core.command_line import quoted, typed
from decalgen.core.errors import OutputError, did_you_mean
from decalgen.core.files import write_files
from decalgen.core.names import slug
from decalgen.core.prices import typed_price
from decalgen.core.small_files import Wanted, read_small
from decalgen.core.values import dataclass
from decalgen.sheet.positions import read_positions
from decalgen.workshop.drawer import Drawer, DrawerEntry, DrawerError, OwnedSheet, corner, edge, rectangle
from decalgen.workshop.drawer.feeding import feeding
from decalgen.workshop.drawer.model import CORNERS, SIDES, Ring
from decalgen.workshop.drawer.plain import LARGEST, read_plain, write_plain

if TYPE_CHECKING:
    from decalgen.core.geometry import Side

MOST_AT_ONCE = 100
LIST = "decalgen film list"
ADD = 'decalgen film add "white A5"'
PAPER = "print on plain paper at 100 %"


@dataclass(frozen=True)
class Cutting:
    """How a part that was cut off is told: one of these, as typed."""

    rectangle: str | None = None
    corner: str | None = None
    edge: str | None = None
    polygon: str | None = None
    all: bool = False


def add(film: str, name: str | None, count: int, bought: str, leads: str, note: str, price: str = "") -> Result:
    """Puts sheets into the drawer, from a film file or words such as 'white A5 laser'."""
    from decalgen.job.films import load_film

    if not 1 <= count <= MOST_AT_ONCE:
        raise DrawerError(f"{count} sheets cannot be put in at once", fix=f"give 1 to {MOST_AT_ONCE} with `--count`")
    found = load_film(film)
    if price.strip():
        try:
            typed_price(price)
        except ValueError as error:
            what, _, fix = str(error).partition("; ")
            raise DrawerError(what, fix=fix) from None
    side = _side(leads)
    drawer = Drawer()
    taken = {sheet.name.casefold() for sheet in drawer.sheets()}
    entries = []
    for label in _names(name or found.name, count, taken, fixed=name is not None):
        entry = DrawerEntry(
            label,
            found.kind,
            found.process,
            found.width,
            found.height,
            found.adhesive,
            bought,
            side,
            note,
            (price or found.price).strip(),
            found.colour,
            found.opacity,
        )
        entries.append(entry)
    rings = [rectangle(u.x, u.y, u.width, u.height) for u in found.used]
    new = drawer.add(entries, [rings] * count)
    count = len(new)
    answer = Answer(f"put in {_sheets(count)}", LIST)
    return Result((), lines=tuple(f"put in: {_row(sheet)}" for sheet in new), answer=answer)


def _sheets(count: int) -> str:
    return f"{count} sheet{'' if count == 1 else 's'}"


def _names(name: str, count: int, taken: set[str], fixed: bool) -> list[str]:
    """A name a sheet; numbered, unless one name was given for one sheet."""
    if fixed and count == 1:
        return [name]
    found: list[str] = []
    number = 1
    while len(found) < count:
        label = f"{name} {number}"
        if label.casefold() not in taken:
            found.append(label)
        number += 1
    return found


def _side(word: str) -> Side:
    for side in SIDES:
        if side == word.strip().lower():
            return side
    raise DrawerError(f"there is no edge '{word}'", fix=did_you_mean(word, list(SIDES)))


def listed() -> Result:
    """All sheets, a line each."""
    drawer = Drawer()
    sheets = drawer.sheets()
    if not sheets:
        return Result((), lines=("the film drawer is empty",), answer=Answer("listed 0 sheets", ADD))
    kept = f"kept in {drawer.path}"
    rows = tuple(_row(sheet) for sheet in sheets)
    answer = Answer(f"listed {_sheets(len(sheets))}", "decalgen proof JOB --film drawer", whole=(*rows, kept))
    return Result((), lines=rows, answer=answer)


def _row(sheet: OwnedSheet) -> str:
    from decalgen.pages.drawer_sheet import free_share, largest_size

    entry, how = sheet.entry, feeding(sheet)
    size = largest_size(sheet)
    largest = f", {size} in one piece" if size and sheet.parts else ""
    fed = {
        "straight": "",
        "turned": f"; feeds {how.leads} edge first: {how.reason}",
        "carrier": f"; rides on a carrier sheet: {how.reason}",
        "never": f"; not fed again: {how.reason}",
    }[how.way]
    said = "".join(
        f"; {text}" for text in (f"bought {entry.bought}" if entry.bought else "", entry.price, entry.note) if text
    )
    return (
        f"{sheet.number}  {entry.name}: {entry.kind} {entry.process}, {entry.width:g} × {entry.height:g} mm, "
        f"{free_share(sheet)}{largest}{fed}{said}"
    )


def use(which: str, positions: Path) -> Result:
    """Takes off a sheet what a proof or sheet says it uses of it."""
    drawer = Drawer()
    sheet = drawer.sheet(which)
    saved = read_positions(positions)
    mine = [one for one in saved.taken if one.sheet.casefold() == sheet.name.casefold()]
    if not mine:
        names = [one.sheet for one in saved.taken]
        raise DrawerError(
            f"'{positions}' prints nothing on '{sheet.name}'",
            fix="it is for " + " and ".join(f"'{n}'" for n in names)
            if names
            else "it was made for other film: nest with `--film drawer`, or enter it with `decalgen film cut-off`",
        )
    done = drawer.take(
        sheet.name,
        [ring for one in mine for ring in one.parts],
        "printed",
        about=positions.name,
        layout=saved.digest,
        marks=[point for one in mine for point in one.marks],
    )
    return Result((), lines=(_row(done), _undo(done)), answer=Answer(f"used '{done.name}'", LIST))


def shift(which: str, x: str, y: str) -> Result:
    """Moves what was printed last on a sheet to where it really lies."""
    from decalgen.core.lengths import length

    given = []
    for option, text in (("--x", x), ("--y", y)):
        try:
            given.append(length(text).value)
        except ValueError as error:
            raise DrawerError(f"{option}: {error}", fix="write a length, such as 0.4mm or -0.4mm") from None
    done = Drawer().shift(which, *given)
    undo = f"decalgen film shift {quoted(done.name)} --x {-given[0] + 0.0:g}mm --y {-given[1] + 0.0:g}mm"
    moved = f"{given[0]:+.2f} mm across and {given[1]:+.2f} mm up"
    said = f"the last print on '{done.name}' is now recorded {moved} from where it was"
    again = "an earlier proof for this sheet no longer counts: make a new one"
    answer = Answer(f"moved the last print on '{done.name}'", "decalgen proof JOB --film drawer")
    return Result((), lines=(said, again, f"a mistake? {undo}"), answer=answer)


def back(which: str) -> Result:
    """Undoes what was last taken off a sheet."""
    sheet, parts = Drawer().back(which)
    what = f"{parts[0].why}" + (f" ({parts[0].about})" if parts[0].about else "")
    said = f"restored: {len(parts)} part{'s' if len(parts) > 1 else ''}, {what}"
    return Result((), lines=(said, _row(sheet)), answer=Answer(f"undid the last use of '{sheet.name}'", LIST))


def cut_off(which: str, cutting: Cutting) -> Result:
    """Takes a part off that was cut away by hand."""
    drawer = Drawer()
    sheet = drawer.sheet(which)
    done = drawer.take(sheet.name, [_ring(sheet, cutting)], "cut off")
    return Result((), lines=(_row(done), _undo(done)), answer=Answer(f"cut '{done.name}'", LIST))


def _undo(sheet: OwnedSheet) -> str:

    return f"a mistake? decalgen film back {quoted(sheet.name)}"


def _ring(sheet: OwnedSheet, cutting: Cutting) -> Ring:
    given = [key for key in ("rectangle", "corner", "edge", "polygon", "all") if getattr(cutting, key)]
    if len(given) != 1:
        raise DrawerError(
            "say which part was cut off" if not given else f"{' and '.join(given)} are given at once",
            fix="give one of --rectangle, --corner, --edge, --polygon, --all",
        )
    if cutting.rectangle:
        x, y, width, height = _numbers(cutting.rectangle, 4, "0,180 148x30: lower left corner, then width x height")
        return rectangle(x, y, width, height)
    if cutting.corner:
        words, size = _split(cutting.corner, CORNERS)
        width, height = _numbers(size, 2, "upper left 40x30")
        return corner(sheet.entry, words, width, height)
    if cutting.edge:
        words, size = _split(cutting.edge, SIDES)
        (depth,) = _numbers(size, 1, "bottom 60")
        return edge(sheet.entry, words, depth)
    if cutting.polygon:
        values = _numbers(cutting.polygon, None, "0,0 40,0 0,30: x,y of each corner in order")
        if len(values) % 2:
            raise DrawerError(f"'{cutting.polygon}' has a corner without y", fix="write x,y for each corner")
        return tuple(zip(values[::2], values[1::2], strict=True))
    return rectangle(0.0, 0.0, sheet.entry.width, sheet.entry.height)


def _split(text: str, known: Sequence[str]) -> tuple[str, str]:
    """The words of a corner or edge, and what follows."""
    words = " ".join(text.lower().split())
    for one in known:
        if words.startswith(one + " "):
            return one, words[len(one) :]
    raise DrawerError(f"'{text}' does not name any {'edge' if known == SIDES else 'corner'}", fix="begin with one of: "
                      + ", ".join(known))  # fmt: skip


def _numbers(text: str, count: int | None, example: str) -> list[float]:
    """Numbers in mm out of '0,180 148x30' or '40 x 30 mm'."""
    words = [word for word in re.split(r"[\s,x×]+", re.sub(r"(?<=[\d\s])mm\b", " ", text.lower())) if word]
    fix = f"write mm, with a full stop for fractions, as in: {example}"
    try:
        values = [float(word) for word in words]
    except ValueError:
        raise DrawerError(f"'{text}' is not made of numbers", fix=fix) from None
    if count is not None and len(values) != count:
        raise DrawerError(f"'{text}' has {len(values)} numbers; {count} are needed", fix=fix)
    return values


def show(which: str, output: Path | None) -> Result:
    """Writes a picture of a sheet, used parts hatched."""
    from decalgen.pages.drawer_sheet import sheet_page

    sheet = Drawer().sheet(which)
    files = save(sheet_page(sheet), output or Path(slug(sheet.name, "film") + ".svg"))
    answer = Answer(f"drew '{sheet.name}'", "decalgen proof JOB --film drawer", (FileGroup("picture", files),))
    return Result(files, lines=(_row(sheet),), answer=answer)


def carrier(which: str, output: Path | None) -> Result:
    """Writes the page that a remnant rides on."""
    from decalgen.pages.drawer_sheet import carrier_page

    sheet = Drawer().sheet(which)
    files = save(carrier_page(sheet), output or Path(slug(sheet.name, "film") + "-carrier.pdf"))
    follow = "print it, tape the film onto its outline, and feed both"
    return Result(files, answer=Answer(f"drew the carrier of '{sheet.name}'", follow, (FileGroup(PAPER, files),)))


def export(output: Path) -> Result:
    """Writes the drawer as a plain file."""
    drawer = Drawer()
    if output.resolve() == drawer.path.resolve():
        raise OutputError(f"'{output}' is the drawer itself", fix="name another file")
    sheets = drawer.sheets()
    files = write_files({output: write_plain(sheets)})
    follow = f"keep it; to read it back: {typed(['decalgen', 'film', 'import', output])}"
    return Result(files, answer=Answer(f"wrote {_sheets(len(sheets))}", follow, (FileGroup("the drawer", files),)))


def bring_in(path: Path) -> Result:
    """Puts the sheets of an exported file into the drawer."""
    data = read_small(path, LARGEST, Wanted("name a file that `decalgen film export` wrote", (".json",)))
    return put_in(data, str(path))


def put_in(data: bytes, name: str) -> Result:
    """Puts the sheets of an exported file of that name into the drawer, from its bytes."""
    sheets = read_plain(data, name)
    new = Drawer().merge(sheets)
    there = len(sheets) - len(new)
    done = f"put in {_sheets(len(new))}" + (f", {there} there already" if there else "")
    return Result((), lines=tuple(sheet.name for sheet in new), answer=Answer(done, LIST))
