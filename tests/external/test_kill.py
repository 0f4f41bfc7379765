"""The operating system ends the writer at any moment: nothing said done is lost or half done."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.external.kill_rounds import KILLS

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="kills with SIGKILL a process it has forked")
@pytest.mark.parametrize("which", KILLS)
def test_kills_in_mid_write_lose_nothing_that_was_said_done(tmp_path: Path, which: str):
    done = subprocess.run(
        [sys.executable, "-m", "tests.external.kill_rounds", str(tmp_path), which],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    tally = json.loads(done.stdout)
    print(tally)
    assert tally["inside"] == KILLS[which]
    assert tally["hot"] > 0  # some left a half-written file, which opening set right
