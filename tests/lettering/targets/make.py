"""Makes the fonts beside this file anew from the packages they came from. Run by hand:

    pip download --no-deps -d FOLDER fontpkg-barlow==1.408 …
    python tests/lettering/targets/make.py FOLDER

takes every row of `SOURCES.tsv`, checks the sha256 of the source, keeps capitals and figures, sets a variable face to
one weight, and writes the sha256 of what came of it into the row.
"""

from __future__ import annotations

import csv
import hashlib
import io
import sys
import zipfile
from pathlib import Path

from fontTools.subset import Options, Subsetter
from fontTools.ttLib import TTFont
from fontTools.varLib.instancer import instantiateVariableFont

HERE = Path(__file__).parent
TABLE = HERE / "SOURCES.tsv"
KEPT = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789 "


def made(source: bytes, weight: str) -> bytes:
    """One weight of a face with the letters that are kept. The time stamp stays the source's, so that a font made twice
    is the same file."""
    font = TTFont(io.BytesIO(source), recalcTimestamp=False)
    if weight:
        axes = {axis.axisTag: axis.defaultValue for axis in font["fvar"].axes} | {"wght": float(weight)}
        font = instantiateVariableFont(font, axes)
    options = Options()
    options.name_IDs = ["*"]
    options.layout_features = ["kern"]
    options.hinting = False
    cutter = Subsetter(options)
    cutter.populate(text=KEPT)
    cutter.subset(font)
    out = io.BytesIO()
    font.save(out)
    return out.getvalue()


def main() -> None:
    with TABLE.open(encoding="utf-8", newline="") as table:
        rows = list(csv.DictReader(table, delimiter="\t"))
    for row in rows:
        (wheel,) = Path(sys.argv[1]).glob(f"{row['package'].replace('-', '_')}-{row['version']}-*.whl")
        source = zipfile.ZipFile(wheel).read(row["source"])
        if row["source sha256"] not in ("", hashlib.sha256(source).hexdigest()):
            raise SystemExit(f"{row['source']} is another file than before")
        font = made(source, row["weight"])
        (HERE / row["file"]).write_bytes(font)
        row["source sha256"] = hashlib.sha256(source).hexdigest()
        row["sha256"] = hashlib.sha256(font).hexdigest()
    with TABLE.open("w", encoding="utf-8", newline="") as table:
        writer = csv.DictWriter(table, list(rows[0]), delimiter="\t", lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


if __name__ == "__main__":
    main()
