"""Every spoiled file through the check command: exit 3, words, nothing written."""

from pathlib import Path

import pytest

from tests.spoiled_files import SPOILED, SpoiledFile, write_good_files
from viewer.cli.main import main


@pytest.mark.parametrize("spoiled", SPOILED.values(), ids=SPOILED.keys())
def test_a_spoiled_file_ends_in_words_and_exit_3(
    spoiled: SpoiledFile, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    barn_file = write_good_files(tmp_path)
    spoiled.spoil(barn_file)
    before = sorted(tmp_path.rglob("*"))
    assert main(["check", str(barn_file), "--json", str(tmp_path / "report.json")]) == 3
    said = capsys.readouterr()
    assert str(barn_file) in said.err
    assert "Traceback" not in said.err + said.out
    assert sorted(tmp_path.rglob("*")) == before
