"""What a check finds, for tests that look at nothing else."""

from __future__ import annotations

from collections.abc import Sequence

from decalgen.core.errors import Finding
from decalgen.job.model import Job, Printer
from decalgen.preflight import examine


def check_jobs(jobs: Sequence[Job], printer: Printer) -> tuple[Finding, ...]:
    """All findings over all jobs."""
    return examine(jobs, printer).findings
