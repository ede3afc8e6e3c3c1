"""What a check says of inks, films and white: one function a finding, None where all is well."""

from __future__ import annotations

from decalgen.colour.advice import GAMUT, InkAdvice, Option, difference_words, distance_words, planned, wanted_look
from decalgen.colour.difference import GOOD, delta_e
from decalgen.colour.inks import FilmLook, Ink
from decalgen.colour.model import SOURCE_NOTE
from decalgen.colour.printer import PrinterColour
from decalgen.core.errors import Finding, Place

READING = 3.0
"""How far off a swatch may be read, dE: a colour at the edge of the gamut is then read outside of it."""
OWN_PROFILE = "name the profile of this printer, film and quality, or leave `profile` out of the printer file"


def gamut_finding(ink: Ink, printer: PrinterColour) -> Finding | None:
    """A note where an ink as asked for lies outside the printer's gamut on any film."""
    if printer.profile is None or ink.kind != "process":
        return None
    proofed = printer.profile.proof(wanted_look(ink, printer))
    miss = delta_e(proofed, wanted_look(ink, printer))
    if miss <= GAMUT:
        return None
    return Finding(
        "note",
        "colour-gamut",
        ink.name,
        f"{ink.colour.hex} is outside the gamut of {printer.profile.name}: it comes out as {proofed.hex},"
        f" dE {miss:.1f} ({SOURCE_NOTE})",
        "choose a less bright ink, or accept the difference",
        ink.place,
        miss,
        GAMUT,
        "dE",
    )


def swatch_finding(ink: Ink, printer: PrinterColour) -> Finding | None:
    """A warning where an ink as it was read off the printer's own swatch sheet lies outside the gamut of its profile:
    then the profile is not of this printer."""
    read = printer.measured(ink.name)
    if printer.profile is None or read is None or ink.kind != "process":
        return None
    miss = delta_e(printer.profile.proof(read), read)
    if miss <= GAMUT + READING:
        return None
    return Finding(
        "warning",
        "other-profile",
        ink.name,
        f"{read.hex} was read off a swatch of {_called(printer)}, and by its profile {printer.profile.name} it cannot"
        f" print that: dE {miss:.1f}",
        f"{OWN_PROFILE}, or read the swatch again",
        ink.place,
        miss,
        GAMUT + READING,
        "dE",
    )


def profile_finding(printer: PrinterColour, process: str) -> Finding | None:
    """A warning where a printer's profile says that it was made for printers of another kind than its ``process``."""
    made_for = getattr(printer.profile, "made_for", "")
    if printer.profile is None or made_for in ("", process):
        return None
    return Finding(
        "warning",
        "other-profile",
        _called(printer),
        f"its profile {printer.profile.name} was made for {made_for}, and the printer is {process}: colours judged by"
        " it will be wrong",
        OWN_PROFILE,
    )


def white_finding(
    subject: str, printer: PrinterColour, place: Place | None = None, backable: bool = True
) -> Finding | None:
    """The error where a job asks for white under a decal and the printer has no white; ``subject``: the decal;
    ``backable``: a backing of white film can be cut for it."""
    if printer.white:
        return None
    backed = ", or `backing: white` for a backing cut from white film under the clear one" if backable else ""
    return Finding(
        "error",
        "colour-no-white",
        subject,
        f"asks for white under the art, and {_called(printer)} prints no white",
        f"write `film: white`{backed}, in place of `underlay`; or choose a printer with white",
        place,
    )


def _called(printer: PrinterColour) -> str:
    return "this printer" if printer.name == PrinterColour().name else printer.name


def film_finding(
    advice: InkAdvice,
    film: FilmLook,
    printer: PrinterColour | None = None,
    underlay: int = 0,
    best: Option | None = None,
    alone: bool = True,
) -> Finding | None:
    """What is wrong with an ink on the film its decal is planned on, and what would do better.

    ``underlay``: passes of white the job asks for under this ink (0: none). ``best``: this ink in what is advised for
    its whole decal, which has one film; without it, what is advised for the ink by itself. ``alone``: it is the only
    ink of its decal. Metallic inks get none: no model covers them, and `inks.check_inks` has said so.
    """
    if advice.ink.kind == "metallic":
        return None
    plan = planned(advice.ink, advice.body, film, printer, underlay)
    if plan.delta_e <= GOOD:
        return None
    subject = f"{advice.ink.name} on {advice.body.name}"
    if advice.ink.kind == "white" and not underlay and film.kind == "clear":
        return Finding(
            "error", "colour-white", subject, "white does not print on clear film without white ink",
            "use white film (`film: white`), a backing cut from white film under the clear one (`backing: white`), or "
            "a painted patch",
            advice.ink.place,
        )  # fmt: skip
    fix = "print a swatch before you use film"
    best = best or advice.chosen
    if best is not None and best.delta_e < plan.delta_e - 0.5:
        reason = f" ({best.reason})" if best.reason and best.usable else ""
        whole = "" if alone or best.film == film else " for the whole decal"
        fix = f"{best.words}{whole}{reason}: {best.look.hex}, {distance_words(best)}; print a swatch"
    return Finding(
        "warning", "colour-film", subject,
        f"printed on {plan.words} it will look like {plan.look.hex} instead of {advice.wanted.hex}:"
        f" {difference_words(plan)}",
        fix, advice.ink.place, plan.delta_e, GOOD, "dE",
    )  # fmt: skip


def compensated_finding(advice: InkAdvice, option: Option) -> Finding:
    """A note on another ink that is printed, as the job asks, so that it looks right over the body."""
    reason = f"; {option.reason}" if option.reason else ""
    return Finding(
        "note",
        "colour-compensated",
        f"{advice.ink.name} on {advice.body.name}",
        f"on clear film it is printed as {option.ink.hex}, to look like {option.look.hex} over the body:"
        f" {difference_words(option)}{reason}",
        "print a swatch before you use film",
        advice.ink.place,
    )


def over_white_finding(ink: Ink, below: str) -> Finding:
    """A note where an ink is asked to make up for the body and lies over white, which hides the body."""
    return Finding(
        "note",
        "colour-not-compensated",
        f"{ink.name} on {below}",
        f"needs no compensation, since {below} is under it; it is printed as given",
        "leave `compensate` out, or use clear film without white under it",
        ink.place,
    )


def not_compensated_finding(advice: InkAdvice) -> Finding | None:
    """A note where an ink is asked to make up for the body and is printed as it is given, with the reason."""
    option, plain = advice.option("compensated"), advice.option("clear")
    if option is None or plain is None:
        return None
    if plain.usable and plain.delta_e <= option.delta_e:
        return None  # It needs no help.
    why = f"the nearest ink, {option.ink.hex}, would still be off by {difference_words(option)}"
    if option.delta_e <= GOOD and option.reason:
        why = option.reason
    return Finding(
        "note",
        "colour-not-compensated",
        f"{advice.ink.name} on {advice.body.name}",
        f"no ink can make up for this body on clear film: {why}; it is printed as given",
        "use white film or white under the ink, or leave `compensate` out",
        advice.ink.place,
    )
