"""`liftlane check`: say where each run can and cannot go, and what must stop."""

import argparse
import json
import os
import sys
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from typing import Any

__all__ = ["Checked", "add", "check_one", "run"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """What came of one barn: its report, or why it could not be read."""

    barn: str
    text: str = ""
    report: dict[str, Any] | None = None
    fault: str = ""
    stops: int = 0


def add(commands: "argparse._SubParsersAction[argparse.ArgumentParser]") -> None:
    """Add the command and its options."""
    command = commands.add_parser(
        "check", help="say where each run can and cannot go, and what must stop"
    )
    command.add_argument("barns", nargs="+", metavar="BARN", help="a barn file")
    command.add_argument(
        "--json", metavar="FILE", help="write the report as JSON; - is standard output"
    )
    command.add_argument(
        "--unit",
        choices=("ft", "mm"),
        help="how lengths are written; left out, as the job says",
    )
    command.set_defaults(run=run)


def run(parsed: argparse.Namespace) -> int:
    """Check the barns and return the exit code."""
    results = list(_checked(parsed.barns, parsed.unit))
    for result in results:
        if result.fault:
            sys.stderr.write(f"liftlane: {result.fault}\n")
    _write(results, parsed.json)
    if any(result.fault for result in results):
        return 3
    return 1 if any(result.stops for result in results) else 0


def _checked(barns: list[str], unit: str | None) -> Iterator[Checked]:
    """Check one barn here, several side by side in processes."""
    if len(barns) == 1:
        yield check_one(barns[0], unit)
        return
    workers = min(len(barns), os.cpu_count() or 1)
    with ProcessPoolExecutor(max_workers=workers) as pool:
        jobs = [pool.submit(check_one, barn, unit) for barn in barns]
        for count, (barn, job) in enumerate(zip(barns, jobs, strict=True), start=1):
            result = job.result()
            sys.stderr.write(f"{count} of {len(barns)}: {barn}\n")
            yield result


def check_one(barn: str, unit: str | None) -> Checked:
    """Check one barn file; a file that cannot be used becomes a fault."""
    from core.analysis.analyse import analyse
    from core.barnfile.files import open_barn
    from core.errors import LiftlaneError
    from core.outputs.report_json import report_json
    from core.outputs.report_text import report_text

    try:
        opened = open_barn(barn)
        report = analyse(opened.barn, meshes=opened.meshes).report
    except LiftlaneError as error:
        return Checked(barn=barn, fault=str(error))
    style = _style(unit or opened.barn.job.display)
    return Checked(
        barn=barn,
        text=report_text(report, style=style, barn=barn),
        report=report_json(report, style=style, barn=barn),
        stops=len(report.stops),
    )


def _style(unit: str) -> Any:
    from core.quantities import LengthStyle

    return LengthStyle.MILLIMETRES if unit == "mm" else LengthStyle.FEET


def _write(results: list[Checked], target: str | None) -> None:
    reports = [result.report for result in results if result.report is not None]
    if target is None:
        sys.stdout.write("\n".join(r.text for r in results if r.text))
        return
    whole = reports[0] if len(results) == 1 and reports else reports
    text = json.dumps(whole, indent=1, allow_nan=False) + "\n"
    if target == "-":
        sys.stdout.write(text)
    else:
        from core.outputs.files import write_text

        write_text(target, text)
