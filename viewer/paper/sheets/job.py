"""What all sheets are made from, and what a page is before it is painted."""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import PurePath

from core.analysis.analyse import Analysis
from core.barnfile.files import BarnFile
from core.drawing.memo import Memo
from core.drawing.shown import Shown
from core.outputs.job_tables import JobTables
from core.rules.finding import Outcome
from viewer.paper.sheets.page import Head, Paper, Sheet

__all__ = ["DIGEST_LETTERS", "Page", "SheetJob", "digest", "head_of"]

DIGEST_LETTERS = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One page to come: its title and what paints it."""

    title: str
    paint: Callable[[Sheet], None]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SheetJob:
    """A barn with its analysis and tables, on a paper; `memo` keeps drawn groups."""

    file: BarnFile
    analysis: Analysis
    tables: JobTables
    paper: Paper
    memo: Memo = field(default_factory=Memo)

    def shown(self, *, cut: float | None = None, run: str | None = None) -> Shown:
        """Return what a view is asked to show: the runs at working height."""
        return Shown(
            catalogue=self.analysis.catalogue,
            cut=cut,
            run=run,
            meshes=self.file.meshes,
        )

    @property
    def cautions(self) -> frozenset[str]:
        """The numbers of the findings that are only cautions."""
        return frozenset(
            str(number)
            for number, finding in enumerate(self.analysis.report.findings, 1)
            if finding.outcome is Outcome.CAUTION
        )


def digest(file: BarnFile) -> str:
    """Return the start of the SHA-256 of a barn file, as saving writes it.

    The same barn has the same digest whatever its file's spaces and comments; a
    file that this program has saved has the digest of its bytes.
    """
    return hashlib.sha256(file.text.encode("utf-8")).hexdigest()[:DIGEST_LETTERS]


def head_of(file: BarnFile, tables: JobTables, *, name: str = "") -> Head:
    """Return what the title blocks say; `name` is that of the barn file."""
    job = file.barn.job
    plain = PurePath(name).name
    return Head(
        job=job.title or file.barn.name,
        number=job.number or plain,
        revision=job.revision,
        date=job.date,
        drawn_by=job.drawn_by,
        digest=digest(file),
        style=tables.style,
    )
