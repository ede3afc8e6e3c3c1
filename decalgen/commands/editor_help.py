"""What tells an editor which keys a job file may have: a line in the job, and the schema it names, in a file beside it.

The schema lies in the job's own folder, so that an editor needs no network and the folder can be moved or given away.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

from decalgen.core.errors import InputError
from decalgen.core.small_files import read_small

SCHEMA_FILE = "decalgen-job.schema.json"
SCHEMA_LINE = f"# yaml-language-server: $schema={SCHEMA_FILE}"
"""The comment by which editors with a YAML language server find a schema, as an open convention has it."""
MOST_BYTES = 5_000_000


@cache
def schema_text() -> str:
    """The schema of a job file as a text; made once, as each answer to `new` may ask for it."""
    from decalgen.job.schema import job_schema

    return json.dumps(job_schema(), indent=1, ensure_ascii=False) + "\n"


def schema_beside(job: Path) -> dict[Path, bytes]:
    """The schema to be written beside a job; nothing where it is there already, or where a file of that name is not
    one of ours."""
    path = job.with_name(SCHEMA_FILE)
    data = schema_text().encode("utf-8")
    if path.is_symlink() or path.exists():
        try:
            there = read_small(path, MOST_BYTES)
        except InputError:
            return {}
        if there == data or not _ours(there):
            return {}
    return {path: data}


def _ours(data: bytes) -> bool:
    try:
        found = json.loads(data)
    except ValueError:
        return False
    return isinstance(found, dict) and found.get("title") == "decalgen job"
