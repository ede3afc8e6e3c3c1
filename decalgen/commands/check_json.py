"""What `check --json` prints: findings and fits in a form for other programs, and the schema of that form.

Keys are stable: a later version may add some, and takes none away while the form keeps its number. Lengths are mm.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from decalgen.commands.check import findings_of, pieces_of
from decalgen.commands.summary import SEVERITIES
from decalgen.core.errors import EXIT_FINDINGS, DecalgenError, Finding, JobError, Place

if TYPE_CHECKING:
    from decalgen.artwork.build import Artwork
    from decalgen.commands.run import Run
    from decalgen.core.lengths import Quantity
    from decalgen.job.model import Job
    from decalgen.panels.fit import Clearance
    from decalgen.preflight import Fitting

FORM = "decalgen check 2"
CUT_OFF = "lettering cut off"
"""The verdict on film that fits while its lettering reaches out of it: such a decal is of no use."""


def check_json(run: Run) -> tuple[str, int]:
    """The text, and the exit code: the same as that of a check in words. Mistakes that keep a file from being read are
    errors with the code 'mistake' or 'cannot-read', and then there are no jobs."""
    try:
        jobs, found, told = run.jobs, run.examined, findings_of(run)
    except JobError as error:
        mistakes = [Finding("error", "mistake", "file", one.message, one.fix, one.place) for one in error.problems]
        return _text(mistakes, []), error.exit_code
    except DecalgenError as error:
        one = Finding("error", "cannot-read", "file", error.message, error.fix, error.place)
        return _text([one], []), error.exit_code
    errors = any(finding.severity == "error" for finding in told)
    rows = [_job(job, found.fits[job.name], found.artworks[job.name]) for job in jobs]
    return _text(told, rows), EXIT_FINDINGS if errors else 0


def _text(findings: Sequence[Finding], jobs: list[dict[str, Any]]) -> str:
    whole = {
        "form": FORM,
        **{f"{severity}s": sum(one.severity == severity for one in findings) for severity in SEVERITIES},
        "findings": [_finding(finding) for finding in findings],
        "jobs": jobs,
    }
    return json.dumps(whole, indent=1, ensure_ascii=False)


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "severity": finding.severity,
        "code": finding.code,
        "subject": finding.subject,
        "message": finding.message,
        "fix": finding.fix or None,
        "place": _place(finding.place),
        "measured": _rounded(finding.measured),
        "limit": _rounded(finding.limit),
        "unit": None if finding.measured is None and finding.limit is None else finding.unit,
        "areas": [[_rounded(side) for side in area] for area in finding.areas],
    }


def _place(place: Place | None) -> dict[str, Any] | None:
    return None if place is None else {"file": place.file, "line": place.line, "column": place.column}


def _job(job: Job, fits: Sequence[Fitting], drawn: Sequence[Artwork]) -> dict[str, Any]:
    return {
        "job": job.name,
        "title": job.title,
        "variant": job.variant,
        "panels": len(job.panels),
        "decals": len(job.decals),
        "pieces": pieces_of(job, fits, drawn),
        "fits": [_fit(one) for one in fits],
    }


def _fit(one: Fitting) -> dict[str, Any]:
    return {
        "decal": one.decal.name,
        "title": one.title,
        "panel": one.fit.panel,
        "verdict": CUT_OFF if one.cut_off and one.fit.verdict == "fits" else one.fit.verdict,
        "cut off": one.cut_off,
        "width": _quantity(one.fit.width),
        "height": _quantity(one.fit.height),
        "clearances": [_clearance(item) for item in one.fit.clearances],
        "across": list(one.across),
        "slits": one.slits,
        "measure again": one.fit.repeat,
    }


def _clearance(item: Clearance) -> dict[str, Any]:
    return {"to": item.to, "kind": item.towards, **_quantity(item.amount), "verdict": item.verdict}


def _quantity(size: Quantity) -> dict[str, Any]:
    from decalgen.panels.uncertainty import expanded

    return {"value": _rounded(size.value), "U": _rounded(expanded(size))}


def _rounded(value: float | None) -> float | None:
    """To a tenth of a micrometre, and never -0."""
    return None if value is None else round(value, 4) + 0.0


def check_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of the form."""
    words, number, count = {"type": "string"}, {"type": "number"}, {"type": "integer", "minimum": 0}
    place = _closed({"file": words, "line": {"type": "integer"}, "column": {"type": "integer"}})
    size = {"value": number, "U": number}
    verdict = {"enum": ["fits", "too big", "not known"]}
    whole_verdict = {"enum": [*verdict["enum"], CUT_OFF], "description": "'fits' only where no lettering is cut off"}
    kind = {"enum": ["edge", "arch", "obstacle", "gap", "room"]}
    finding = {
        "severity": {"enum": list(SEVERITIES)},
        "code": {"type": "string", "pattern": "^[a-z]+(-[a-z]+)*$", "description": "short and stable"},
        "subject": words | {"description": "the decal, panel, ink or sheet"},
        "message": words,
        "fix": _or_none(words),
        "place": _or_none(place),
        "measured": _or_none(number),
        "limit": _or_none(number),
        "unit": _or_none(words) | {"description": "of measured and limit"},
        "areas": {
            "type": "array",
            "items": {"type": "array", "items": number, "minItems": 4, "maxItems": 4},
            "description": "rectangles on the decal, mm from its lower left corner: left, bottom, right, top",
        },
    }
    fit = {
        "decal": words,
        "title": words | {"description": "the decal with its hand"},
        "panel": words,
        "verdict": whole_verdict,
        "cut off": {"type": "boolean", "description": "whether lettering reaches out of it"},
        "width": _closed(size),
        "height": _closed(size),
        "clearances": {"type": "array", "items": _closed({"to": words, "kind": kind, **size, "verdict": verdict})},
        "across": {"type": "array", "items": words, "description": "gaps it runs across"},
        "slits": count | {"description": "cut lines that slit it without removing anything"},
        "measure again": _or_none(words) | {"description": "the reading with the largest uncertainty"},
    }
    job = {
        "job": words,
        "title": words,
        "variant": _or_none(words),
        "panels": count,
        "decals": count,
        "pieces": count,
        "fits": {"type": "array", "items": _closed(fit)},
    }
    whole = {
        "form": {"const": FORM},
        "errors": count,
        "warnings": count,
        "notes": count,
        "findings": {"type": "array", "items": _closed(finding)},
        "jobs": {"type": "array", "items": _closed(job)},
    }
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": "what decalgen check --json prints"}
    return head | {"description": "lengths in mm; U with k = 2"} | _closed(whole)


def _closed(properties: dict[str, Any]) -> dict[str, Any]:
    return {"type": "object", "properties": properties, "required": list(properties)}


def _or_none(what: dict[str, Any]) -> dict[str, Any]:
    return {"anyOf": [what, {"type": "null"}]}
