"""The pictures of the handbook, each drawn by what draws it for a user, from the jobs that the chapters show."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from decalgen.commands.options import Options
from decalgen.commands.run import Run
from decalgen.core.errors import InputError, did_you_mean
from decalgen.core.files import write_files

if TYPE_CHECKING:
    from decalgen.core.document import Document, Item

_JOB = re.compile(r"^```yaml\n(?P<text>job: (?P<name>\S+)\n.*?)^```$", re.MULTILINE | re.DOTALL)
FILM = "white A5"
FINE_MM = 0.005
"""What no eye sees on a page of hundreds of letters, mm."""


def jobs_in(texts: Sequence[str]) -> dict[str, str]:
    """Every job that the chapters show, by its name; the text of the first of that name."""
    found: dict[str, str] = {}
    for text in texts:
        for block in _JOB.finditer(text):
            found.setdefault(block["name"], block["text"])
    return found


def draw_pictures(wanted: Sequence[str], texts: Sequence[str]) -> dict[str, Document]:
    """The picture for each key, such as 'kinds', 'proof tug' or 'draw tug-door-band-left'.

    Raises InputError for a key that means no picture.
    """
    with TemporaryDirectory() as folder:
        shelf = _Shelf(jobs_in(texts), Path(folder))
        return {key: shelf.picture(key) for key in dict.fromkeys(wanted)}


class _Shelf:
    """Draws pictures; each job is read, drawn and nested once."""

    def __init__(self, jobs: Mapping[str, str], folder: Path) -> None:
        self.jobs = jobs
        self.folder = folder
        self.runs: dict[str, Run] = {}
        self.drawn: dict[str, Document] = {}

    def picture(self, key: str) -> Document:
        kind, _, of = key.partition(" ")
        if kind in GENERAL and not of:
            return GENERAL[kind]()
        if kind == "draw" and of:
            return self.draw(of)
        if kind in OF_A_JOB and of:
            return OF_A_JOB[kind](self.run(of))
        raise InputError(
            f"the handbook has no picture '{key}'", fix=did_you_mean(kind, [*GENERAL, *OF_A_JOB, "draw NAME"])
        )

    def run(self, name: str) -> Run:
        if name not in self.jobs:
            raise InputError(f"no chapter shows a job '{name}'", fix=did_you_mean(name, list(self.jobs)))
        if name not in self.runs:
            path = self.folder / f"{name}.yaml"
            write_files({path: self.jobs[name].encode("utf-8")})
            self.runs[name] = Run([path], Options((FILM,)))
        return self.runs[name]

    def draw(self, name: str) -> Document:
        """A picture by the name that `decalgen draw` gives it."""
        from decalgen.commands.draw import pictures

        for job_name in self.jobs:
            if name.startswith(f"{job_name}-") and name not in self.drawn:
                run = self.run(job_name)
                (job,) = run.jobs
                self.drawn |= pictures(job, run.artworks(job), run.printer, marked=True)
        if name not in self.drawn:
            raise InputError(f"no job of the handbook has a picture '{name}'", fix=did_you_mean(name, list(self.drawn)))
        return self.drawn[name]


def _kinds() -> Document:
    from decalgen.pages.kind_drawings import kinds_picture
    from decalgen.panels.registry import kinds

    return kinds_picture([(name, cls.about) for name, cls in kinds().items()])


def _shapes() -> Document:
    from decalgen.commands.lists import shape_picture

    return shape_picture()


def _layouts(part: int) -> Document:
    """A third of them: a page of the handbook holds no more at a size that can be seen."""
    from decalgen.commands.lists import layout_picture

    return layout_picture(part, 3)


def _faces(page: int) -> Document:
    from decalgen.pages.faces import specimen_page

    document = specimen_page("Harbour Stores 147")
    return coarser(replace(document, pages=document.pages[page : page + 1]))


def coarser(document: Document) -> Document:
    """The same to look at, with areas half as large in a file: outlines go within `FINE_MM` of where they were."""
    from decalgen.core.document import Fill
    from decalgen.core.geometry import region

    def thinned(item: Item) -> Item:
        return replace(item, region=region(item.region.simplify(FINE_MM))) if isinstance(item, Fill) else item

    pages = (
        replace(page, layers=tuple(replace(layer, items=tuple(map(thinned, layer.items))) for layer in page.layers))
        for page in document.pages
    )
    return replace(document, pages=tuple(pages))


def _target() -> Document:
    from decalgen.commands.calibrate_printer import target_document

    return target_document(None, FILM, "caliper")


def _cover() -> Document:
    """Ready layouts in rows, without a word."""
    from decalgen.artwork.drawn import artworks
    from decalgen.core.document import Document, Fill, Layer, Symbol, Use
    from decalgen.core.geometry import rectangle
    from decalgen.job.layouts import layouts
    from decalgen.job.samples import sample
    from decalgen.pages.composer import Sheaf
    from decalgen.pages.decal_and_panel import artwork_cell

    columns, wide, high, gap = 3, 50.0, 28.0, 4.0
    shown = layouts()[: 4 * columns]
    rows = -(-len(shown) // columns)
    sheaf = Sheaf(columns * (wide + gap) - gap, rows * (high + gap) - gap)
    for n, layout in enumerate(shown):
        job = sample(layout)
        body = job.paint(job.body).colour
        _, _, fills, (x0, y0, x1, y1) = artwork_cell(artworks(job)[0], layout.name, "")
        x, y = (n % columns) * (wide + gap), sheaf.height - (n // columns + 1) * (high + gap) + gap
        sheaf.fill(rectangle(x, y, x + wide, y + high), body)
        by = min((wide - 8.0) / (x1 - x0), (high - 8.0) / (y1 - y0))
        left, low = x + wide / 2 - by * (x0 + x1) / 2, y + high / 2 - by * (y0 + y1) / 2
        picture = Symbol(f"cover-{n + 1}", tuple(one for one in fills if isinstance(one, Fill)))
        sheaf.items.append(Use(picture, (by, 0.0, 0.0, by, left, low)))
    return Document((sheaf.page(Layer("Pictures", ())),), title="Ready layouts")


def _sheet(run: Run) -> Document:
    from decalgen.pages.film import final

    return final(run.arrangement(None), run.title, run.date)


GENERAL: dict[str, Callable[[], Document]] = {
    "kinds": _kinds,
    "shapes": _shapes,
    "layouts": partial(_layouts, 0),
    "more-layouts": partial(_layouts, 1),
    "last-layouts": partial(_layouts, 2),
    "faces": partial(_faces, 0),
    "more-faces": partial(_faces, 1),
    "target": _target,
    "cover": _cover,
}
"""Pictures of what the program has."""


def _proof(run: Run) -> Document:
    from decalgen.commands.proof import proof_document

    return proof_document(run)[0]


def _key(run: Run) -> Document:
    """The proof's second page."""
    document = _proof(run)
    return replace(document, pages=document.pages[1:])


def _swatches(run: Run) -> Document:
    from decalgen.commands.swatch_sheets import swatch_documents

    return swatch_documents(run.paths, None, FILM)[0][1]


OF_A_JOB: dict[str, Callable[[Run], Document]] = {
    "proof": _proof,
    "key": _key,
    "sheet": _sheet,
    "swatches": _swatches,
}
"""Papers that are made of a job."""
