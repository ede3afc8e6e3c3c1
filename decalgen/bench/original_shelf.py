"""The scans and photos that are being read for one job, while the page is open. They are in memory alone; a picture is
kept beside the job only where that is asked for."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Coroutine, Mapping
from typing import TYPE_CHECKING, Any, Protocol

from decalgen.bench.examining import OvertakenError
from decalgen.bench.faults import as_told
from decalgen.bench.original_said import OriginalSaid, one_length, said_with
from decalgen.core.errors import DecalgenError
from decalgen.core.pixels.values import PictureData
from decalgen.job.edits import EditError
from decalgen.job.pictures import KINDS

if TYPE_CHECKING:
    from decalgen.scan.measuring import MeasuredScan
    from decalgen.scan.remains import PatternFit
    from decalgen.scan.template.values import MeasuredTemplate

MOST_PICTURES = 6
"""So many are held at once."""
MOST_HELD = 400_000_000
"""And so many bytes."""
TOLD_SECONDS = 0.4
"""It is told so often at most at what a reading is."""
_STARTS = ((b"\x89PNG", ".png"), (b"\xff\xd8", ".jpg"))
"""How files begin (PNG 3rd edition, 5.2; ITU-T T.81, B.1.1.3); the third kind that is read is TIFF."""


class OriginalPlace(Protocol):
    """What the reading needs of a workplace."""

    def begin(self, work: Coroutine[Any, Any, None]) -> None:
        """Starts something beside the typing."""
        ...

    def tell(self, **what: Any) -> None:
        """Says something to every page."""
        ...


class OriginalPicture:
    """One picture, what was said of it, and what was read. ``size``: width and height, pixels; ``dpi``: as the file
    says; ``typed``: values over what was read, by name; ``taken``: values in doubt that are taken as read; ``added``:
    the decals made of it, each with its panel, ``outlined`` the panels; ``kept``: its file beside the job."""

    def __init__(self, picture: PictureData) -> None:
        """Raises PixelsError for what is no picture that can be read."""
        from decalgen.core.pixels.decode import resolution_of, size_of

        self.picture = picture
        self.size = size_of(picture)
        self.dpi = resolution_of(picture)
        self.said = OriginalSaid()
        self.found: MeasuredScan | None = None
        self.panel: MeasuredTemplate | None = None
        self.wrong: DecalgenError | None = None
        self.typed: dict[str, str] = {}
        self.taken: set[str] = set()
        self.added: list[tuple[str, str]] = []
        self.outlined: list[str] = []
        self.kept = ""
        self.read_of: OriginalSaid | None = None
        """What `found`, or `wrong`, is of; None where nothing is read yet, or reading was stopped."""

    @property
    def name(self) -> str:
        """As it was called by whoever brought it."""
        return self.picture.name

    @property
    def file_name(self) -> str:
        """What it is called beside the job: by its kind."""
        if self.name.lower().endswith(KINDS):
            return self.name
        return self.name + next((one for start, one in _STARTS if self.picture.data.startswith(start)), ".tif")

    @property
    def key(self) -> str:
        """What the page calls it."""
        return self.picture.digest[:32]

    @property
    def fit(self) -> PatternFit | None:
        """What was read last, with what was typed over it."""
        from decalgen.scan.decal import typed_over

        if self.found is None or self.read_of != self.said:
            return None
        return typed_over(self.found.fits[0], self.typed)

    def say(self, asked: Mapping[str, Any]) -> None:
        """Says something else of it. Another pattern has other values: what was typed over them goes. Raises as
        `said_with`."""
        said = said_with(self.said, asked)
        if said.reading != self.said.reading:
            self.typed.clear()
            self.taken.clear()
        self.said = said

    def type_over(self, name: str, text: str) -> None:
        """A value over what was read; '' takes it back. A bare number is mm. Raises TypedOverError,
        EditError where nothing is read."""
        from decalgen.scan.decal import typed_over

        fit = self.read().fits[0]
        typed = {key: value for key, value in self.typed.items() if key != name}
        if text.strip():
            counted = any(one.name == name and one.unit == "" for one in fit.values)
            typed[name] = text.strip() if counted else one_length(text)
        typed_over(fit, typed)
        self.typed = typed

    def read(self) -> MeasuredScan:
        """What was read. Raises EditError where nothing is, as it is said now."""
        if self.found is None or self.read_of != self.said:
            raise EditError("the picture is not read yet", fix="wait until it is read")
        return self.found

    def outline(self) -> MeasuredTemplate:
        """The panel that was read. Raises EditError where none is, as it is said now."""
        if self.panel is None or self.read_of != self.said:
            raise EditError("the panel is not read yet", fix="wait until it is read")
        return self.panel

    @property
    def is_read(self) -> bool:
        """Whether there is something to be added, as it is said now."""
        return self.read_of == self.said and (self.found is not None or self.panel is not None)

    def take(
        self, said: OriginalSaid, found: MeasuredScan | MeasuredTemplate | None, wrong: DecalgenError | None
    ) -> None:
        """Takes over what came of a reading."""
        from decalgen.scan.template.values import MeasuredTemplate

        self.read_of, self.found, self.panel, self.wrong = said, None, None, wrong
        if isinstance(found, MeasuredTemplate):
            self.panel = found
        elif found is not None:
            self.found = found
            names = {one.name for one in found.fits[0].values}
            self.typed = {name: text for name, text in self.typed.items() if name in names}
            self.taken &= names


class OriginalShelf:
    """The pictures of one job, the last one first, and which of them is shown. Everything here runs in the server's one
    thread, but for the reading; what is said while one is read has it read again."""

    def __init__(self) -> None:
        self.pictures: list[OriginalPicture] = []
        self.shown: OriginalPicture | None = None
        self.stage = ""
        """At what a reading is, in words; '' while none is on its way."""
        self._turn = 0
        self._stopped = False
        self._told = 0.0

    def bring(self, place: OriginalPlace, made: OriginalPicture) -> OriginalPicture:
        """Takes a picture and reads it; one that is here already is shown again. Raises EditError where there is no
        room for it."""
        known = next((one for one in self.pictures if one.key == made.key), None)
        if known is None:
            held = sum(len(one.picture.data) for one in self.pictures)
            if len(self.pictures) >= MOST_PICTURES or held + len(made.picture.data) > MOST_HELD:
                raise EditError(
                    f"{len(self.pictures)} pictures are here already", fix="put one away that you are done with"
                )
            self.pictures.insert(0, made)
        self.shown = known or made
        self.look(place)
        return self.shown

    def held(self) -> OriginalPicture:
        """The picture that is shown. Raises EditError where none is."""
        if self.shown is None:
            raise EditError("there is no picture", fix="drop one here")
        return self.shown

    def of(self, key: str) -> OriginalPicture | None:
        """A picture by what the page calls it."""
        return next((one for one in self.pictures if one.key == key), None)

    def put_away(self, place: OriginalPlace, key: str) -> None:
        """Forgets a picture; the next one is shown."""
        self.pictures = [one for one in self.pictures if one.key != key]
        if self.shown not in self.pictures:
            self.show(place, self.pictures[0] if self.pictures else None)

    def show(self, place: OriginalPlace, one: OriginalPicture | None) -> None:
        """Shows another picture; what of the one before is not read yet is left."""
        self.shown = one
        self._turn += 1
        self.look(place)

    def stop(self) -> None:
        """Ends the reading; nothing is read then, until something else is said or it is asked for."""
        self._turn += 1
        self._stopped = True

    def look(self, place: OriginalPlace) -> None:
        """Reads the picture that is shown as it is said now, beside the typing, if it is not read so yet."""
        one = self.shown
        if one is None or one.said.waits or one.read_of == one.said:
            return
        self._turn += 1
        self._stopped = False
        if not self.stage:
            self.stage = "reading the picture"
            place.begin(self._read(place))

    async def _read(self, place: OriginalPlace) -> None:
        """Reads until what is read is what was said last, or it is stopped."""
        loop = asyncio.get_running_loop()
        try:
            while True:
                turn, one = self._turn, self.shown
                if one is None or one.said.waits or one.read_of == one.said:
                    break
                said = one.said

                def stage(words: str, turn: int = turn) -> None:
                    if turn != self._turn:
                        raise OvertakenError
                    loop.call_soon_threadsafe(self._now, place, words)

                try:
                    found = await asyncio.to_thread(_measured, one.picture, said, stage)
                    one.take(said, found, None)
                except OvertakenError:
                    if self._stopped:
                        break
                except Exception as error:
                    one.take(said, None, as_told(error))
        finally:
            self.stage = ""
            place.tell(made="original")

    def _now(self, place: OriginalPlace, words: str) -> None:
        """Says at what the reading is."""
        if not self.stage or words == self.stage:
            return
        self.stage = words
        now = time.monotonic()
        if now - self._told > TOLD_SECONDS:
            self._told = now
            place.tell(made="original")


def _measured(picture: PictureData, said: OriginalSaid, stage: Any) -> MeasuredScan | MeasuredTemplate:
    if said.what != "pattern":
        from decalgen.scan.template.reading import measure_template

        stage("following the sides")
        panel = measure_template(picture, said.template())
        stage("done")
        return panel
    from decalgen.scan.measuring import measure_scan

    return measure_scan(picture, said.request(), stage)
