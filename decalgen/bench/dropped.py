"""A drawing, a picture or a font that is dropped on Draw: judged, copied into the job's folder, and a decal of its own,
or a face of the job.

What comes is a stranger's: its name is one of a plain file, never a path; its kind, its size and all that is in it are
judged as those of a file beside the job before anything is written; no file is ever written over.
"""

from __future__ import annotations

import base64
import binascii
import math
import re
from collections.abc import Callable, Mapping
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Any

from decalgen.bench.copies_beside import DEVICES, keep_beside
from decalgen.bench.readable import readable_job
from decalgen.commands.question_values import free
from decalgen.core.pixels.values import PictureData
from decalgen.core.svg.text import DrawingText, SvgError, is_dxf
from decalgen.job.drawings import KINDS as DRAWING_KINDS
from decalgen.job.drawings import MOST_BYTES as DRAWING_BYTES
from decalgen.job.edits import EditError
from decalgen.job.first_shapes import SHARE, STEP
from decalgen.job.model import Job
from decalgen.job.own_faces import KINDS as FONT_KINDS
from decalgen.job.own_faces import MOST_BYTES as FONT_BYTES
from decalgen.job.own_faces import MOST_FACES
from decalgen.job.pictures import KINDS, MOST_BYTES
from decalgen.job.restructure import add_decal, grown
from decalgen.job.written import YamlValue
from decalgen.panels.base import Panel
from decalgen.shapes.base import Box
from decalgen.shapes.drawing import OwnDrawing
from decalgen.shapes.picture import OwnPicture

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace

_NAME = re.compile(r"[^\W_][\w .()+-]{0,90}\.[A-Za-z]{3,4}2?")


def drop_file(place: Workplace, asked: Mapping[str, Any]) -> dict[str, str]:
    """Copies a file beside the job, and adds a decal with it in the middle of a panel, or a face: ``name``, ``data`` in
    base64, ``panel``. Raises EditError for what cannot be a file here, and what the readers of drawings and pictures
    raise."""
    name, data = _file(asked)
    job = readable_job(place)
    if name.lower().endswith(FONT_KINDS):
        return _add_face(place, job, name, data)
    panel = next((one for one in job.panels if one.name == asked.get("panel")), None)
    if panel is None:
        raise EditError("there is no such panel", fix="load the page again")
    shape, body, size, whole = _judged(name, data, job, panel)
    decal = free(_called(name), {one.name for one in job.decals})
    rows: dict[str, YamlValue] = {"panel": panel.name}
    if panel.hand:
        rows["hands"] = "both"
    rows |= {"width": f"{size.width:.2f} mm", "height": f"{size.height:.2f} mm"}
    if whole:
        rows["cut"] = "artwork"

    def made(text: str, file: str) -> str:
        return add_decal(text, decal, {**rows, "artwork": [{shape: {"file": file, **body}}]})

    _change(place, f"new decal {decal}", name, data, made)
    return {"decal": decal, "panel": panel.name, "offers": ""}


def _add_face(place: Workplace, job: Job, name: str, data: bytes) -> dict[str, str]:
    """A font as a face of the job, called after its file. Raises EditError with what a job that names it is told."""
    from decalgen.lettering.faces import faces, name_key
    from decalgen.lettering.own_fonts import FontError, read_font

    try:
        font = read_font(data)
    except FontError as error:
        raise EditError(f"'{name}' {error.message}", fix=error.fix) from None
    own = [face for _, face in job.faces]
    there = next((face for face in own if face.font.sha256 == font.sha256), None)
    if there is not None:
        raise EditError(f"'{name}' is in the job already, as '{there}'", fix="choose that face at a lettering")
    if len(own) >= MOST_FACES:
        raise EditError(f"more than {MOST_FACES} faces in one job", fix="leave out those nothing is set in")
    taken = {name_key(one) for one in (*own, *(face.name for face in faces()))}
    called = _called(name)
    if name_key(called) in taken:
        called = next(f"{called} {n}" for n in count(2) if name_key(f"{called} {n}") not in taken)
    _change(place, f"new face {called}", name, data, lambda text, file: grown(text, ("faces", called), file))
    return {"face": called}


def _change(place: Workplace, label: str, name: str, data: bytes, make: Callable[[str, str], str]) -> None:
    """Copies a file beside the job, and changes the job by ``make``, from its text and the name of the copy; both or
    neither."""
    file, made = keep_beside(place.desk.path.parent, name, data)
    try:
        place.desk.remake(label, lambda text: make(text, file.name))
    except BaseException:
        if made:
            file.unlink(missing_ok=True)
        raise


def _file(asked: Mapping[str, Any]) -> tuple[str, bytes]:
    name, text = asked.get("name"), asked.get("data")
    if not isinstance(name, str) or not isinstance(text, str):
        raise EditError("that cannot be read", fix="load the page again")
    if not _NAME.fullmatch(name) or ".." in name or DEVICES.fullmatch(name):
        raise EditError("that name cannot be a file's here", fix="name it with letters, digits, spaces, - and _ alone")
    ending = Path(name).suffix.lower()
    if ending not in (*DRAWING_KINDS, *KINDS, *FONT_KINDS):
        raise EditError(
            f"'{name}' is not a drawing, a picture or a font that decalgen reads",
            fix="save it as SVG, DXF, PNG, JPEG or TIFF, a font as TTF, OTF or WOFF2",
        )
    most = DRAWING_BYTES if ending in DRAWING_KINDS else FONT_BYTES if ending in FONT_KINDS else MOST_BYTES
    try:
        data = base64.b64decode(text, validate=True)
    except (ValueError, binascii.Error):
        raise EditError("that file did not come through whole", fix="drop it once more") from None
    if len(data) > most:
        raise EditError(f"'{name}' is too large: at most {most // 1_000_000} MB are read", fix="save it smaller")
    return name, data


def _judged(name: str, data: bytes, job: Job, panel: Panel) -> tuple[str, dict[str, YamlValue], Box, bool]:
    """The shape, its size as the file is to say it, that of the decal, and whether it can be cut out along it."""
    try:
        if name.lower().endswith(DRAWING_KINDS):
            return _drawing(name, data, job, panel)
        one = OwnPicture(PictureData(name, data), width=1.0)
        body = _fitted(one.extent(Box(1.0, 1.0)), panel)
        shown = OwnPicture(one.file, width=_mm(body["width"]))
        parts = shown.draw(shown.extent(Box(1.0, 1.0)))[0].region.geoms
        return "picture", body, _around(shown.extent(Box(1.0, 1.0))), len(parts) == 1
    except SvgError as error:
        raise EditError(f"'{name}': {error.message}", fix=error.fix) from None


def _drawing(name: str, data: bytes, job: Job, panel: Panel) -> tuple[str, dict[str, YamlValue], Box, bool]:
    from decalgen.core.geometry import polygons, union

    kind, fix = (
        ("a DXF", "save it as DXF R2010, in text and not in binary")
        if is_dxf(name)
        else ("an SVG", "save it as plain SVG")
    )
    try:
        text = data.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError:
        raise EditError(f"'{name}' is not {kind} drawing", fix=fix) from None
    real = _has_size(name, text)
    file = DrawingText(name, text, tuple((ink.name, ink.colour) for ink in job.inks))
    body: dict[str, YamlValue] = {}
    one = OwnDrawing(file) if real else OwnDrawing(file, width=1.0)
    size = one.extent(Box(1.0, 1.0))
    if not real or size.width > panel.width.value or size.height > panel.height.value:
        body = _fitted(size, panel)
        one = OwnDrawing(file, width=_mm(body["width"]))
        size = one.extent(Box(1.0, 1.0))
    whole = union(area.region for area in one.draw(size))
    return "drawing", body, _around(size), len(polygons(whole)) == 1


def _has_size(name: str, text: str) -> bool:
    """Whether a drawing says how large it is on paper. Raises `SvgError` for a text that is none."""
    if is_dxf(name):
        from decalgen.core.dxf.entities import read_dxf

        return read_dxf(text).unit_mm is not None
    from decalgen.core.svg.page import page_of
    from decalgen.core.svg.tree import read_tree

    return page_of(read_tree(text).root).real


def _fitted(shape: Box, panel: Panel) -> dict[str, YamlValue]:
    """The width of something of this shape that takes up its share of a panel."""
    wide, high = panel.width.value * SHARE, panel.height.value * SHARE
    width = min(wide, high * shape.width / shape.height)
    return {"width": f"{max(STEP, math.floor(width / STEP + 1e-9) * STEP):.2f} mm"}


def _mm(text: YamlValue) -> float:
    return float(str(text).removesuffix(" mm"))


def _around(size: Box) -> Box:
    """A box in hundredths of a millimetre that holds it."""
    width, height = (math.ceil(round(side * 100, 6)) / 100 for side in size)
    return Box(width, height)


def _called(name: str) -> str:
    """The name of a decal after that of its file."""
    words = re.sub(r"[^\w]+|_+", " ", Path(name).stem).strip()[:40].strip()
    return words or "drawing"
