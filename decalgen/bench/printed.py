"""What the page says of a sheet that is printed and taken off the film drawer: that is no mistake, the job is done."""

from __future__ import annotations

from collections.abc import Sequence

from decalgen.bench.standing import StepStanding
from decalgen.workshop.drawer_for_jobs import PrintedError

AGAIN = 'For another go, with the decals and the film as they are by then: "Nest again" on Sheet, then a new proof.'
NOT_SO = 'Not printed after all? "Undo the last" on Film.'


def printed_standing(printed: PrintedError) -> StepStanding:
    """Done, once every sheet of it is marked as used."""
    if printed.left:
        return StepStanding(False, f"printed in part: {_named(printed.left)} to mark on Film")
    return StepStanding(True, f"printed on {_named(printed.sheets)}")


def printed_words(printed: PrintedError, record: str = "") -> str:
    """What is done, on what, and what one may do next; ``record``: the file to print the same from again."""
    said = [f"Printed, and taken off {_named(printed.sheets)} of the film drawer."]
    if printed.left:
        said.append(f"Not marked as used yet: {_named(printed.left)}; that is done on Film.")
    if record:
        said.append(f"The same once more on other film: `decalgen sheet --again {record}`.")
    return " ".join([*said, AGAIN, NOT_SO])


def _named(names: Sequence[str]) -> str:
    return " and ".join(f"'{one}'" for one in names)
