"""A decal as a sentence with blanks: every blank is a value of the file that can be filled in another way."""

from __future__ import annotations

from typing import Any

from decalgen.bench.come_to import at_come_to, at_words, come_to, is_plain
from decalgen.bench.named_lengths import NamedLengths, Texts
from decalgen.core import keys
from decalgen.core.keys import Spec, specs
from decalgen.core.values import dataclass
from decalgen.job.edits import EditError, Path
from decalgen.job.entries import DecalEntry, SizeEntry
from decalgen.job.key_words import unit
from decalgen.job.layouts import load_layout
from decalgen.job.model import Decal, Job
from decalgen.job.nodes import Scalar
from decalgen.job.splices import WrittenText
from decalgen.job.written import YamlValue, in_brackets


@dataclass(frozen=True)
class Blank:
    """A value that can be filled in. ``shown``: what stands in the file, '' where nothing does and ``default`` holds;
    ``choices``: the words that may stand there; ``help``: a sentence about it."""

    label: str
    at: Path
    shown: str
    default: str = ""
    help: str = ""
    choices: tuple[str, ...] = ()
    written: bool = True
    raw: Any = None
    """What stands in the file, as it is compared."""
    words: str = ""
    """What is read in place of what stands in the file, where that is hard to read."""
    comes: str = ""
    """What an expression comes to, where ``default`` is something else."""
    unit: str = ""
    """What a bare number typed here is of: 'mm', '°', or '' for what is no size."""

    def told(self) -> dict[str, Any]:
        """The blank for the page, without what it has not."""
        found: dict[str, Any] = {"label": self.label, "at": list(self.at), "shown": self.shown, "raw": self.raw}
        more = {"default": self.default, "help": self.help, "choices": list(self.choices), "words": self.words}
        more |= {"comes": self.comes, "unit": self.unit}
        return found | {key: value for key, value in more.items() if value}


_SAID = ("layout", "panel", "hands", "width", "height", "at", "copies", "spares", "film", "artwork", "values")


def decal_blanks(group: dict[str, Any], decal: Decal, film: str, panels: tuple[str, ...]) -> list[Any]:
    """The sentence of a decal: texts and blanks in turn. ``group``: its keys and values as they stand in the file;
    what it leaves out is shown as it is: from its layout, its panel, or the job (``film``)."""
    path: Path = ("decals", decal.name)
    name = decal.name
    layout = " is drawn from the layout " + group["layout"] + ". It" if isinstance(group.get("layout"), str) else ""
    comes = {
        "hands": decal.hands,
        "width": f"{decal.width.value:.2f} mm",
        "height": f"{decal.height.value:.2f} mm",
        "at": at_words(decal.at),
        "copies": str(decal.copies),
        "spares": str(decal.spares),
        "film": film,
    }

    def blank(key: str, choices: tuple[str, ...] = ()) -> Blank:
        kind = next((s.kind for cls in (SizeEntry, DecalEntry) for s in specs(cls) if s.key == key), None)
        about, of = (kind.about, unit(kind)) if kind else ("", "")
        shown = as_text(group.get(key))
        # Beside an expression stands what it comes to.
        beside = at_come_to(shown, decal.at) if key == "at" else "" if is_plain(shown) else comes.get(key, "")
        told = comes.get(key, "") if not shown else beside if key in ("width", "height", "at") else ""
        words = comes[key] if key == "at" and shown[:1] in ("{", "[") else ""
        return Blank(key, (*path, key), shown, told, about, choices, key in group, group.get(key), words, unit=of)

    said: list[Any] = [f"{name[:1].upper()}{name[1:]}{layout} goes on the ", blank("panel", panels), ", "]
    said += [blank("hands", ("one", "left", "right", "both")), " hand, " if decal.hands != "both" else " hands, "]
    said += [blank("width"), " wide and ", blank("height"), " high, at ", blank("at"), ". Print ", blank("copies")]
    said += [" and ", blank("spares"), f" spare{'' if decal.spares == 1 else 's'}"]
    said += [" of each hand" if decal.hands == "both" else "", " on ", blank("film", ("white", "clear")), " film."]
    return said


def layout_blanks(group: dict[str, Any], job: Job, decal: Decal, inks: tuple[str, ...], values: Texts) -> list[Blank]:
    """What the layout of a decal can be given, its own values where the job gives none. ``values``: those of the job by
    their names."""
    if not isinstance(group.get("layout"), str):
        return []
    layout = load_layout(group["layout"])
    own = group.get("values") or {}
    given = {label: node.text for label, node in layout.values.items() if isinstance(node, Scalar)}
    lengths = NamedLengths(job, decal, ({**given, **own}, values))
    found = []
    for label, node in layout.values.items():
        default = getattr(node, "text", "")
        shown = own.get(label)
        choices = inks if default in {key.text for key, _ in layout.inks.entries} else ()
        comes = lengths.words(default if shown is None else shown)
        found.append(
            Blank(
                label,
                ("decals", decal.name, "values", label),
                as_text(shown),
                default,
                "a value of its layout; left empty, the layout's own holds",
                choices,
                label in own,
                shown,
                comes=comes,
                unit=next((of for of in ("mm", "°") if any(is_plain(one, of) for one in (comes, default))), ""),
            )
        )
    return found


def more_blanks(group: dict[str, Any], decal: Decal) -> list[Blank]:
    """The keys of a decal that the sentence leaves out, those that stand in the file first."""
    path: Path = ("decals", decal.name)
    left = [spec for cls in (SizeEntry, DecalEntry) for spec in specs(cls) if spec.key not in _SAID]
    found = [one for spec in left if (one := _by_spec(spec, group, path, decal)) is not None]
    return sorted(found, key=lambda one: not one.written)


def _by_spec(spec: Spec, group: dict[str, Any], path: Path, decal: Decal) -> Blank | None:
    """The blank of a key; None for what is more than one line."""
    value = group.get(spec.key)
    if isinstance(value, dict) or (isinstance(value, list) and any(isinstance(one, dict | list) for one in value)):
        return None
    kind = spec.kind
    if isinstance(kind, keys.Block | keys.Elements):
        return None
    choices = choices_of(kind)
    worth = come_to(kind, value, getattr(decal, spec.name, None))
    shown, written = as_text(value), spec.key in group
    return Blank(spec.key, (*path, spec.key), shown, worth, kind.about, choices, written, value, unit=unit(kind))


def choices_of(kind: keys.Key, inks: tuple[str, ...] = ()) -> tuple[str, ...]:
    """The words that may stand for a key, where they are few: those of a choice, yes and no, or the ``inks``."""
    if isinstance(kind, keys.Choice):
        return kind.options
    if isinstance(kind, keys.InkName):
        return inks
    return ("yes", "no") if isinstance(kind, keys.Flag) else ()


def as_text(value: Any) -> str:
    """A value of the file in one line, lists and groups in brackets."""
    if value is None:
        return ""
    return value if isinstance(value, str) else in_brackets(value)


def typed_value(text: str) -> YamlValue:
    """What was typed into a blank: a text; or a list or group, where it begins with a bracket. Raises JobError for
    brackets that cannot be read."""
    from decalgen.job.edits import values

    text = text.strip()
    if text[:1] not in ("[", "{"):
        return text
    found: YamlValue = values(f"value: {text}\n")["value"]
    return found


def asked_path(parts: Any) -> Path:
    """Where in the file a blank is, as the page says it. Raises EditError for what is no place."""
    if not isinstance(parts, list) or not parts or not all(isinstance(p, str | int) for p in parts):
        raise EditError("that is not a place in the file", fix="load the page again")
    return tuple(parts)


def with_groups(written: WrittenText, at: Path, to: YamlValue) -> tuple[Path, YamlValue]:
    """A value that is new in a text, with the groups round it that are not there yet, such as `values` of a decal."""
    count = len(at) - 1
    while count and not written.has(at[:count]):
        count -= 1
    for part in reversed(at[count + 1 :]):
        to = {str(part): to}
    return at[: count + 1], to
