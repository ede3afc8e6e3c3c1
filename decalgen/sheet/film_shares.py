"""The film that each job takes of what was printed together, and what it costs. Pure; mm."""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry import Polygon

from decalgen.core.prices import Price, read_price, share_out
from decalgen.core.values import dataclass
from decalgen.job.model import Job
from decalgen.sheet.arrange import Arrangement, Sheet
from decalgen.sheet.positions import FilmTaken

UNIT = 10.0
"""Areas are shared in steps of this, mm², so that what is told adds up."""


@dataclass(frozen=True)
class Share:
    """Of one job, or of all: the film in steps of `UNIT`, what it costs in each currency."""

    units: int
    prices: tuple[Price, ...]

    def __str__(self) -> str:
        return " and ".join([f"{self.units / (100 / UNIT):.1f} cm²", *map(str, self.prices)])


def shares(
    arrangement: Arrangement, jobs: Sequence[Job], taken: Sequence[FilmTaken] = ()
) -> tuple[tuple[Share, ...], Share]:
    """The share of each job in order, and of all together; the shares add up to it exactly.

    Each sheet is shared by the area of the jobs' pieces, the gap round each counted in; so the waste is shared in
    proportion. A sheet of the film drawer counts with what is ``taken`` off it, any other as a whole.
    """
    by_sheet = {one.sheet: sum(Polygon(ring).area for ring in one.parts) for one in taken}
    units = [0] * len(jobs)
    money: list[dict[str, int]] = [{} for _ in jobs]
    for sheet in arrangement.sheets:
        whole = sheet.film.width * sheet.film.height
        used = min(by_sheet.get(sheet.film.name, whole), whole)
        weights = _weights(sheet, jobs, arrangement.gap)
        for n, part in enumerate(share_out(round(used / UNIT), weights)):
            units[n] += part
        if sheet.film.price:
            price = read_price(sheet.film.price).part(used / whole)
            for n, paid in enumerate(price.shared(weights)):
                money[n][price.currency] = money[n].get(price.currency, 0) + paid.hundredths
    found = tuple(Share(part, _prices(paid)) for part, paid in zip(units, money, strict=True))
    total: dict[str, int] = {}
    for amounts in money:
        for currency, amount in amounts.items():
            total[currency] = total.get(currency, 0) + amount
    return found, Share(sum(units), _prices(total))


def share_lines(arrangement: Arrangement, jobs: Sequence[Job], taken: Sequence[FilmTaken] = ()) -> list[str]:
    """The shares in words, where there is something to share: several jobs, or film with a price."""
    if len(jobs) < 2 and not any(sheet.film.price for sheet in arrangement.sheets):
        return []
    found, total = shares(arrangement, jobs, taken)
    rows = [f"film for {job.title}: {share}" for job, share in zip(jobs, found, strict=True)] if len(jobs) > 1 else []
    what = "total film, as taken from the drawer" if taken else "total film, whole sheets"
    return [*rows, f"{what}: {total}", *_unpriced(arrangement)]


def cost_lines(arrangement: Arrangement, jobs: Sequence[Job], taken: Sequence[FilmTaken] = ()) -> list[str]:
    """What the film costs altogether, where some of it has a price."""
    if not any(sheet.film.price for sheet in arrangement.sheets):
        return []
    rows = share_lines(arrangement, jobs, taken)
    return rows[len(jobs) if len(jobs) > 1 else 0 :]


def _unpriced(arrangement: Arrangement) -> list[str]:
    """Where some film has a price: which has none, so that a sum is not taken for the whole cost."""
    names = dict.fromkeys(sheet.film.name for sheet in arrangement.sheets if not sheet.film.price)
    if not names or all(not sheet.film.price for sheet in arrangement.sheets):
        return []
    return [f"no price is known for {' and '.join(names)}: that film is not in the cost"]


def _weights(sheet: Sheet, jobs: Sequence[Job], gap: float) -> list[float]:
    area = {job.name: 0.0 for job in jobs}
    for placed in sheet.placed:
        outline = Polygon(placed.piece.artwork.cut_polygon.exterior)
        area[placed.piece.artwork.job] += float(outline.buffer(gap / 2).area)
    return [area[job.name] for job in jobs]


def _prices(amounts: dict[str, int]) -> tuple[Price, ...]:
    return tuple(Price(currency, amount) for currency, amount in sorted(amounts.items()))
