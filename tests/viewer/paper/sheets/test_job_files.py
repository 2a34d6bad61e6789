"""Everything of a job in one folder: what a window calls, from another thread."""

import io
import threading
from pathlib import Path

import ezdxf
import pytest

from core.barnfile.files import BarnFile, open_barn
from core.outputs.folder import CancelledError
from tests.specimens import plain_barn
from viewer.jobs import Ticket
from viewer.paper.sheets.job_files import KINDS, write_job
from viewer.paper.sheets.page import Paper

pytestmark = [pytest.mark.gui, pytest.mark.usefixtures("qapp")]

TUNNEL = Path(__file__).resolve().parents[4] / "sample_barns" / "tunnel.json"


@pytest.mark.slow
def test_a_full_set_of_the_large_sample_is_written(tmp_path: Path) -> None:
    written = write_job(open_barn(TUNNEL), tmp_path / "out", name=str(TUNNEL))
    found = {path for path in (tmp_path / "out").rglob("*") if path.is_file()}
    assert set(written) == found
    assert {path.suffix for path in found} == {
        *(".pdf", ".xlsx", ".csv", ".dxf", ".svg", ".png", ".glb", ".json")
    }
    assert [path.name for path in tmp_path.iterdir()] == ["out"]
    for path in found:
        if path.suffix == ".dxf":
            text = path.read_bytes().decode("utf-8")
            assert ezdxf.read(io.StringIO(text)).audit().errors == []


def test_it_works_in_another_thread_and_tells_how_far_it_is(tmp_path: Path) -> None:
    said: list[float] = []
    ticket = Ticket(lambda share, _: said.append(share))
    kinds = ("set", "pictures", "json")

    def work() -> None:
        write_job(
            BarnFile(barn=plain_barn()),
            tmp_path / "out",
            paper=Paper.LETTER,
            only=kinds,
            progress=ticket,
        )

    thread = threading.Thread(target=work)
    thread.start()
    thread.join(60.0)
    names = {path.name for path in (tmp_path / "out").iterdir()}
    assert names == {"installers-set.pdf", "pictures", "job.json"}
    assert said == sorted(said)
    assert said[-1] == 1.0


@pytest.mark.parametrize("after", [1, 4, 12])
def test_cancel_leaves_what_was_there(tmp_path: Path, after: int) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "job.json").write_text("mine")
    said: list[str] = []

    def report(_share: float, words: str) -> None:
        said.append(words)
        if len(said) == after:
            ticket.cancel()

    ticket = Ticket(report)
    with pytest.raises(CancelledError):
        write_job(BarnFile(barn=plain_barn()), tmp_path / "out", progress=ticket)
    assert (tmp_path / "out" / "job.json").read_text() == "mine"
    assert [path.name for path in tmp_path.rglob("*")] == ["out", "job.json"]


def test_each_kind_is_something(tmp_path: Path) -> None:
    for kind in KINDS:
        if kind == "pictures":
            continue  # written above
        file = BarnFile(barn=plain_barn())
        assert write_job(file, tmp_path / kind, only=(kind,)), kind
