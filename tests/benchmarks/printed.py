"""How well printed pages are read from scans: errors, and how often U holds. By hand:

    python -m tests.benchmarks.printed bars 100 40
    python -m tests.benchmarks.printed target 100 40

The first number is the first seed, the second how many cases. Seeds under 100 were used to set the constants.
"""

from __future__ import annotations

import math
import sys
import tempfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

from decalgen.core.errors import DecalgenError
from decalgen.core.pixels.values import PictureData
from decalgen.proofing.files import standard_of
from decalgen.proofing.judge import SheetReading, judge
from decalgen.proofing.scanned_bars import read_bars
from decalgen.scan.printed.beside import CardSize
from decalgen.sheet.positions import read_positions
from tests.helpers.tug import JOB
from tests.scan.printed.scans import Glass, Printed, scan_of_page

A5 = (148.0, 210.0)
CARD_LIMITS = ((85.47, 85.72), (53.92, 54.03))
"""Of a new card, from memory."""


def levels_of(pdf: Path, dpi: float = 600.0) -> np.ndarray:
    import pypdfium2

    page = pypdfium2.PdfDocument(str(pdf))[0]
    return np.asarray(page.render(scale=dpi / 72).to_pil().convert("L"))


def drawn(page: Printed, seed: int, fitted: bool) -> tuple[Printed, Glass, CardSize]:
    """A print, how it lies on the glass, and what the user knows of the card."""
    rng = np.random.default_rng(seed)

    def between(low: float, high: float) -> float:
        return float(rng.uniform(low, high))

    size = between(0.93, 0.97) if fitted else 1.0
    # Half of the printers are about right, so that it is seen whether they pass.
    most = 1.5 if seed // 2 % 2 else 6.0
    x, y = (size * (1 + between(-most, most) / 1000) for _ in range(2))
    page = replace(page, x=x, y=y, lean=between(-2, 2) / 1000)
    quarter = int(rng.integers(4))
    true = (between(*CARD_LIMITS[0]), between(*CARD_LIMITS[1]))
    measured = seed % 2 == 1
    told = (
        CardSize.measured((true[0] + between(-0.03, 0.03), true[1] + between(-0.03, 0.03))) if measured else CardSize()
    )
    turn = quarter * 90 + between(-2.5, 2.5)
    if quarter % 2:
        glass = Glass((216.0, 226.0), (107.0, 78.0), turn, (between(52, 160), 192.0), between(-6, 6))
    else:
        glass = Glass((216.0, 218.0), (77.0, 108.0), turn, (184.5, between(50, 165)), 90 + between(-3, 3))
    glass = replace(
        glass,
        card_size=true,
        stretch=(1 + between(-5, 5) / 1000, 1 + between(-5, 5) / 1000),
        row=between(-1.5, 1.5) / 1000,
        noise=between(0.8, 2.5),
        blur=between(0.5, 0.9),
        jpeg=seed % 3 == 0,
        card_colour=("#27456b", "#b8342a", "#d8d2b0", "#15171a")[seed % 4],
        lid=("#f2f2f0", "#d9d9d6", "#3a3b3d")[seed % 5 % 3],
    )
    if glass.lid == "#d9d9d6" and glass.card_colour == "#d8d2b0":
        glass = replace(glass, card_colour="#27456b")  # No one sees that card on that lid.
    return page, glass, told


def bars(first: int, count: int) -> None:
    """The bars of the tug's proof."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "tug.yaml").write_text(JOB, encoding="utf-8")
        from decalgen.commands.options import Options
        from decalgen.commands.proof import make_proof
        from decalgen.commands.run import Run

        run = Run([folder / "tug.yaml"], Options(films=("white A5",), effort="quick"))
        make_proof(run, folder / "tug-proof.pdf").write()
        needed = standard_of(read_positions(folder / "tug.positions.json"))
        page = Printed(levels_of(folder / "tug-proof.pdf"), A5)
    rows = []
    wrong_pass = wrong_refusal = 0
    words: dict[tuple[bool, str], int] = {}
    for seed in range(first, first + count):
        fitted = seed % 8 == 7
        printed, glass, card = drawn(page, seed, fitted)
        try:
            found = read_bars(needed, 1, PictureData("s", scan_of_page(printed, glass, seed)), card)
        except DecalgenError as error:
            print(seed, "NOT READ", error.message)
            words[fitted, "not read"] = words.get((fitted, "not read"), 0) + 1
            continue
        truth = printed.length(100, 0), printed.length(0, 100)
        verdict = judge(needed, SheetReading(needed.page_of(1), 1, found.tool.name, found.x, found.y), found.tool)
        words[fitted, verdict.word] = words.get((fitted, verdict.word), 0) + 1
        out = max(abs(one - 100) for one in truth) / 100
        us = [2 * math.hypot(found.tool.systematic(100, way), found.tool.placing) for way in "xy"]
        wrong_pass += verdict.word == "passed" and out > needed.share + max(us) / 100
        wrong_refusal += verdict.word == "refused" and out <= needed.share
        for way, true, read, u in zip("xy", truth, (found.x[0], found.y[0]), us, strict=True):
            rows.append((card.off[0] < 0.1, way, read - true, u, fitted))
        print(seed, f"{found.x[0] - truth[0]:+.3f} {found.y[0] - truth[1]:+.3f} U {us[0]:.3f} {us[1]:.3f}",
              f"true {truth[0]:.2f} {truth[1]:.2f} {verdict.word}", found.tool.name, flush=True)  # fmt: skip
    told(rows)
    print("verdicts", {f"{'fitted' if one[0] else 'about right'}: {one[1]}": n for one, n in sorted(words.items())})
    print("passed though further off than limit + U:", wrong_pass, "; refused though within the limit:", wrong_refusal)


def target(first: int, count: int) -> None:
    """The calibration target of an A5 sheet: its spans, and what the calibration makes of them."""
    from decalgen.commands.calibrate_printer import target_document, target_size
    from decalgen.commands.scanned_target import target_marks
    from decalgen.core.instruments import scan_beside_card
    from decalgen.export.pdf import write
    from decalgen.printer.calibration import calibrate
    from decalgen.scan.printed.spans import read_page

    asked, _, _, area = target_size(None, "white A5", "caliper")
    with tempfile.TemporaryDirectory() as name:
        pdf = Path(name) / "target.pdf"
        pdf.write_bytes(write(target_document(None, "white A5", "caliper")))
        page = Printed(levels_of(pdf), A5)
    rows, found_rows = [], []
    for seed in range(first, first + count):
        printed, glass, card = drawn(page, seed, seed % 8 == 7)
        try:
            found = read_page(PictureData("s", scan_of_page(printed, glass, seed)), target_marks(asked, area), card)
            shares = [math.ceil(200 * found.share(way) * 100 - 1e-6) / 100 for way in "xy"]
            tool = scan_beside_card(*shares)
            got = calibrate({one.span.name: [one.read] for one in found.spans}, asked, tool)
        except DecalgenError as error:
            print(seed, "NOT READ", error.message)
            continue
        for one in found.spans:
            (ax, ay), (bx, by) = (end.at for end in one.span.ends)
            u = 2 * math.hypot(one.share * one.read, tool.placing)
            rows.append((card.off[0] < 0.1, one.span.way, one.read - printed.length(bx - ax, by - ay), u, False))
        assert got.lean is not None
        for what, seen, true in (
            ("x", got.x, printed.x),
            ("y", got.y, printed.y),
            ("lean", got.lean, printed.lean / printed.y),
        ):
            found_rows.append((what, seen.value - true, seen.expanded))
        print(seed, *(f"{what} {off:+.5f} U {u:.5f}" for what, off, u in found_rows[-3:]), flush=True)
    told(rows)
    for what in ("x", "y", "lean"):
        off, u = np.array([(o, u) for w, o, u in found_rows if w == what]).T
        print(
            f"calibration {what}: {len(off)}, rms {np.sqrt((off**2).mean()):.5f}, mean U {u.mean():.5f}, "
            f"within U {(np.abs(off) <= u).mean():.0%}"
        )


def told(rows: list[tuple[bool, str, float, float, bool]]) -> None:
    for measured in (False, True):
        for way in "xyd":
            some = [(e, u) for m, w, e, u, _ in rows if m == measured and w == way]
            if some:
                error, u = np.array(some).T
                print(
                    f"card {'measured' if measured else 'nominal'}, {way}: {len(some)} lengths, rms "
                    f"{np.sqrt((error**2).mean()):.3f} mm, worst {np.abs(error).max():.3f}, mean U {u.mean():.3f}, "
                    f"within U {(np.abs(error) <= u).mean():.0%}"
                )


KINDS: dict[str, Callable[[int, int], None]] = {"bars": bars, "target": target}

if __name__ == "__main__":
    KINDS[sys.argv[1]](int(sys.argv[2]), int(sys.argv[3]))
