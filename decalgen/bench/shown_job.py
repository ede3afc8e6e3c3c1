"""The job as a screen shows it: as it is, or one of its variants."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from decalgen.bench.desk import Edit, value_at
from decalgen.core.errors import DecalgenError
from decalgen.core.values import dataclass
from decalgen.job import nodes
from decalgen.job.edits import Path
from decalgen.job.merge import overlay, without
from decalgen.job.model import Job
from decalgen.job.problems import Problems
from decalgen.job.renaming import uses_of
from decalgen.job.splices import WrittenText, plain
from decalgen.job.uses import NameUse

if TYPE_CHECKING:
    from decalgen.bench.workplace import Workplace


@dataclass(frozen=True)
class ShownJob:
    """``text`` of the file; all its values as they are written, and as ``values`` those of the variant in place of the
    job's; what they read as, and where that names something. ``variant``: '' for the job as it is."""

    text: str
    own: Any
    values: Any
    job: Job | None
    uses: tuple[NameUse, ...] = ()
    variant: str = ""
    written: WrittenText | None = None
    """The text with its nodes; None where it cannot be read."""

    def at(self, path: Path) -> Path:
        """Where the value at a path of the job stands: in the variant, if that has its own."""
        own: Path = ("variants", self.variant, *path)
        if not self.variant or self.written is None:
            return path
        # A decal may be in the variant alone.
        alone = not self.written.has(path[:2]) and self.written.has(own[:4])
        return own if alone or self.written.has(own) else path

    def raw(self, path: Path) -> Any:
        """What stands at a path of the file, as it is compared; None for nothing."""
        return value_at(self.own, path)


def shown_job(place: Workplace, view: object) -> ShownJob:
    """The job in the variant that a page looks at; as it is where it looks at none, or where that cannot be read."""
    desk, name = place.desk, str(view.get("variant", "")) if isinstance(view, Mapping) else ""
    try:
        written, values = desk.written, desk.values
    except DecalgenError:
        return ShownJob(desk.text, None, None, desk.job)
    job = desk.job
    if job is not None and name in job.variants and not desk.problems:
        try:
            # Read once a version.
            read, uses = place.drawings.kept(
                ("variant", desk.path, desk.version, name), lambda: uses_of(desk.text, desk.path, name)
            )
            return ShownJob(desk.text, values, _in_variant(written, name), read, uses, name, written)
        except DecalgenError:
            pass
    return ShownJob(desk.text, values, values, job, desk.uses, "", written)


def _in_variant(written: WrittenText, name: str) -> Any:
    """All values, with those of a variant in place of the job's, as the reader lays them over each other."""
    root = written.root
    group = written.at(("variants", name))
    if not isinstance(root, nodes.Mapping) or not isinstance(group, nodes.Mapping):
        return plain(root)
    rest = without(root, "variants")
    return plain(replace(overlay(rest, group, Problems()), source=root.source))


def edits_in(shown: ShownJob, edits: Sequence[Edit]) -> list[Edit]:
    """Changes of the job as they are made in the variant that is shown: there where it has the value itself."""
    if not shown.variant:
        return list(edits)
    found = []
    for one in edits:
        at = shown.at(one.at)
        was = shown.raw(at)
        found.append(Edit("remove" if one.do == "remove" else "add" if was is None else "set", at, one.to, was))
    return found


def variants_of(place: Workplace, shown: ShownJob) -> dict[str, Any]:
    """The choice of the variant that is shown; nothing where the job has none."""
    job = place.desk.job
    if job is None or not job.variants:
        return {}
    said = ""
    if shown.variant:
        said = (
            f"This is the variant {shown.variant}. What it says itself is changed in it; for the rest you are asked. "
            "A decal is moved in every variant that does not place it itself."
        )
    return {"variants": list(job.variants), "variant": shown.variant, "variant_said": said}
