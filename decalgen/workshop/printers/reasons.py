"""What a printer gives as its reasons, in plain words (RFC 8011, 5.4.12 and 5.3.8)."""

from __future__ import annotations

ENDINGS = ("-error", "-warning", "-report")
WORDS = {
    "media-empty": "the tray is empty",
    "media-needed": "it wants paper or film",
    "media-low": "the tray is nearly empty",
    "media-jam": "a sheet is jammed",
    "cover-open": "a cover is open",
    "door-open": "a door is open",
    "interlock-open": "a cover is open",
    "input-tray-missing": "a tray is missing",
    "output-tray-missing": "the output tray is missing",
    "output-area-full": "the output tray is full",
    "output-area-almost-full": "the output tray is nearly full",
    "marker-supply-empty": "ink or toner is empty",
    "marker-supply-low": "ink or toner is low",
    "toner-empty": "toner is empty",
    "toner-low": "toner is low",
    "marker-waste-full": "its waste container is full",
    "marker-waste-almost-full": "its waste container is nearly full",
    "opc-life-over": "its drum is worn out",
    "fuser-over-temp": "its fuser is too hot",
    "fuser-under-temp": "its fuser is warming up",
    "paused": "it is paused",
    "moving-to-paused": "it is being paused",
    "shutdown": "it is being switched off",
    "connecting-to-device": "the computer is still reaching for it",
    "timed-out": "the computer does not reach it",
    "spool-area-full": "its memory is full",
    "stopped-partly": "a part of it has stopped",
    "job-incoming": "the file is still on its way",
    "job-data-insufficient": "it has not had the whole file yet",
    "job-printing": "it is printing",
    "job-canceled-by-user": "it was cancelled by its sender",
    "job-canceled-by-operator": "it was cancelled at the printer",
    "job-canceled-at-device": "it was cancelled at the printer",
    "aborted-by-system": "the printer gave it up",
    "document-format-error": "the printer cannot read the file",
    "unsupported-document-format": "the printer cannot read the file",
    "printer-stopped": "the printer has stopped",
    "resources-are-not-ready": "it waits for something, such as another sheet",
    "media-mismatch": "the tray holds another sheet or paper than was asked for",
}
SILENT = ("none", "job-completed-successfully", "job-queued", "job-printing", "job-incoming")
"""They say nothing that has to be told."""


def reason(keyword: str) -> str:
    """A reason in words; one that is not known here as the printer gives it."""
    bare = next((keyword.removesuffix(one) for one in ENDINGS if keyword.endswith(one)), keyword)
    return WORDS.get(keyword) or WORDS.get(bare) or bare.replace("-", " ")


def reasons(keywords: tuple[str, ...]) -> str:
    """Several of them, joined; empty where there is nothing to tell."""
    return "; ".join(dict.fromkeys(reason(one) for one in keywords if one not in SILENT))
