"""Builds the CMYK profile that comes with the program: `python -m decalgen.colour.build_profile TR006.ti3`.

Not used by the program itself. It needs `colprof` (Debian package argyll) and the characterisation data
TR006.ti3 (Debian package icc-profiles-free, /usr/share/color/icc/TR006.ti3). That data set is taken because
its header says: "Profiles, or other derivative work, based on these data may be distributed with no further
permissions from CGATS. However, this Technical Report must be identified as the source of the
characterization data." It is identified in the profile and in coated_tr006.txt beside it.
"""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

PROFILE = Path(__file__).with_name("coated_tr006.icc")

DESCRIPTION = "decalgen coated paper, from ANSI/CGATS/GRACoL TR 006-2007"
COPYRIGHT = (
    "Made from the characterization data of ANSI/CGATS/GRACoL TR 006-2007, copyright 2007 by NPES; "
    "derivative work may be distributed with no further permissions from CGATS"
)
# Medium quality; black rises along a ramp; no more than 320 % of ink, as usual for coated paper (common
# practice, no source); the measurements themselves are left out of the profile.
OPTIONS = ("-q", "m", "-k", "r", "-l", "320", "-nc")

# Year, month, day of the data: a profile made twice from the same data should be the same file.
_DATED = b"".join(n.to_bytes(2, "big") for n in (2006, 8, 28, 0, 0, 0))


def build(data: Path, profile: Path = PROFILE) -> None:
    """Writes ``profile`` from the characterisation file ``data``. Raises CalledProcessError if colprof
    fails."""
    with tempfile.TemporaryDirectory() as folder:
        work = Path(folder)
        shutil.copyfile(data, work / "coated.ti3")
        words = ["colprof", *OPTIONS, "-D", DESCRIPTION, "-C", COPYRIGHT, "-O", "coated.icc", "coated"]
        subprocess.run(words, cwd=work, check=True)
        made = bytearray((work / "coated.icc").read_bytes())
    made[24:36] = _DATED
    made[84:100] = bytes(16)  # The profile's MD5, if any, no longer holds; zero says that none was computed.
    profile.write_bytes(bytes(made))


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("usage: python -m decalgen.colour.build_profile TR006.ti3")
    build(Path(sys.argv[1]))
