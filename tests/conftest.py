"""What every test shares: no display, no real user folders, repeatable examples."""

import os
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

# platformdirs reads these; they are set before any module of the program is imported, so that no
# test can touch the collections and settings of the person who runs it.
_USER_FOLDERS = {
    "HOME": "home",
    "USERPROFILE": "home",
    "APPDATA": "config",
    "LOCALAPPDATA": "data",
    "WIN_PD_OVERRIDE_APPDATA": "config",
    "WIN_PD_OVERRIDE_LOCAL_APPDATA": "data",
    "WIN_PD_OVERRIDE_PERSONAL": "documents",
    "XDG_CACHE_HOME": "cache",
    "XDG_CONFIG_HOME": "config",
    "XDG_DATA_HOME": "data",
    "XDG_DOCUMENTS_DIR": "documents",
    "XDG_STATE_HOME": "state",
}
_scratch = tempfile.TemporaryDirectory(prefix="slotleaf-tests-", ignore_cleanup_errors=True)


def _point_user_folders_at(folder: Path) -> dict[str, str]:
    values = {variable: str(folder / name) for variable, name in _USER_FOLDERS.items()}
    for value in values.values():
        Path(value).mkdir(parents=True, exist_ok=True)
    return values


os.environ.update(_point_user_folders_at(Path(_scratch.name)))

settings.register_profile(
    "slotleaf",
    deadline=None,  # the machine is shared; pytest-timeout bounds a test instead
    derandomize=True,  # the same examples every run: a red run can be repeated
    database=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile("search", parent=settings.get_profile("slotleaf"), derandomize=False)
settings.load_profile(os.environ.get("SLOTLEAF_HYPOTHESIS", "slotleaf"))


def pytest_configure() -> None:
    """Commits of this process do not wait for the disk: there are many thousands of small ones.

    Only a power cut would tell the difference. Programs that tests start, such as those that are
    killed, wait as they always do; `tests/unit/test_store_files.py` holds that they do.
    """
    from core.store import engine

    engine._PRAGMAS = tuple(
        "synchronous=OFF" if pragma.startswith("synchronous") else pragma
        for pragma in engine._PRAGMAS
    )


@pytest.fixture
def user_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Fresh, empty user folders for one test; gives the folder that holds them all."""
    folder = tmp_path / "user"
    for variable, value in _point_user_folders_at(folder).items():
        monkeypatch.setenv(variable, value)
    return folder
