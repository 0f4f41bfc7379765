"""The set-up: the lock, the scripts, the files that travel with the program."""

import os
import re
import shutil
import subprocess
import sys
import tomllib
import zipfile
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from fontTools.ttLib import TTFont
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

import resources

ROOT = Path(__file__).resolve().parents[2]


@cache
def project() -> dict[str, Any]:
    return tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))


# --- the lock -------------------------------------------------------------------------------------


@cache
def locked() -> list[tuple[Requirement, list[str]]]:
    """Each locked requirement with its hashes."""
    text = (ROOT / "constraints.txt").read_text("utf-8").replace("\\\n", " ")
    lines = [
        line for line in text.splitlines() if line.strip() and not line.strip().startswith("#")
    ]
    return [
        (Requirement(line.split("--hash")[0].strip()), re.findall(r"--hash=(\S+)", line))
        for line in lines
    ]


def asked_for() -> list[Requirement]:
    groups = project()["dependency-groups"]
    texts = [*project()["project"]["dependencies"], *groups["dev"], *groups["build"]]
    return [Requirement(text) for text in texts]


def test_every_line_of_the_lock_pins_a_version_with_hashes():
    assert len(locked()) > len(asked_for())
    for requirement, hashes in locked():
        assert re.fullmatch(r"==[^,*]+", str(requirement.specifier)), requirement
        assert hashes, f"{requirement} has no hash"
        assert all(re.fullmatch(r"sha256:[0-9a-f]{64}", each) for each in hashes), requirement


def test_the_lock_holds_no_address():
    text = (ROOT / "constraints.txt").read_text("utf-8")
    assert "://" not in text
    assert "index-url" not in text
    assert " @ " not in text


@pytest.mark.parametrize("wanted", asked_for(), ids=lambda requirement: requirement.name)
def test_the_lock_agrees_with_the_ranges_of_the_project(wanted: Requirement):
    name = canonicalize_name(wanted.name)
    versions = [
        next(iter(requirement.specifier)).version
        for requirement, _ in locked()
        if canonicalize_name(requirement.name) == name
    ]
    assert versions, f"{wanted.name} is not locked: make lock"
    assert all(wanted.specifier.contains(version) for version in versions), versions


def test_the_build_tool_is_locked_as_the_build_asks_for_it():
    assert project()["build-system"]["requires"] == project()["dependency-groups"]["build"]


def test_this_python_is_one_the_project_supports():
    allowed = Requirement(f"python{project()['project']['requires-python']}").specifier
    assert allowed.contains(".".join(str(part) for part in sys.version_info[:3]))
    assert not allowed.contains("3.10.9")
    assert not allowed.contains("3.15.0")


# --- what is installed ----------------------------------------------------------------------------


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> zipfile.ZipFile:
    """The wheel that `pipx install .` would install."""
    folder = tmp_path_factory.mktemp("wheel")
    subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(folder)],
        cwd=ROOT,
        capture_output=True,
        check=True,
        timeout=120,
    )
    (path,) = folder.glob("*.whl")
    return zipfile.ZipFile(path)


def test_the_wheel_holds_the_program_and_nothing_else(wheel: zipfile.ZipFile):
    tops = {name.split("/")[0] for name in wheel.namelist()}
    assert {top for top in tops if not top.endswith(".dist-info")} == {"core", "gui", "resources"}


def test_the_wheel_holds_every_resource(wheel: zipfile.ZipFile):
    here = {
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / "resources").rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    assert here <= set(wheel.namelist())


def test_the_wheel_brings_the_command(wheel: zipfile.ZipFile):
    (name,) = [n for n in wheel.namelist() if n.endswith("entry_points.txt")]
    assert "slotleaf = gui.__main__:main" in wheel.read(name).decode()


# --- the scripts ----------------------------------------------------------------------------------

on_posix = pytest.mark.skipif(os.name == "nt", reason="the scripts are for sh")


def a_python(folder: Path, name: str, *, suits: bool) -> Path:
    """A stand-in for an interpreter that says whether its version suits."""
    path = folder / name
    answer = f"echo {path}" if suits else "exit 1"
    path.write_text(f"#!/bin/sh\n{answer}\n")
    path.chmod(0o755)
    return path


def find_python(folder: Path, **extra: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        ["/bin/sh", str(ROOT / ".setup" / "find-python")],
        env={"PATH": str(folder), **extra},
        capture_output=True,
        text=True,
        check=False,
        timeout=30,
    )


@on_posix
def test_the_first_python_that_suits_is_taken(tmp_path: Path):
    a_python(tmp_path, "python3", suits=False)
    good = a_python(tmp_path, "python3.12", suits=True)
    assert find_python(tmp_path).stdout.strip() == str(good)


@on_posix
def test_a_python_that_is_asked_for_goes_first(tmp_path: Path):
    a_python(tmp_path, "python3", suits=True)
    mine = a_python(tmp_path, "mine", suits=True)
    assert find_python(tmp_path, PYTHON="mine").stdout.strip() == str(mine)


@on_posix
def test_a_python_that_is_asked_for_and_does_not_suit_is_refused(tmp_path: Path):
    a_python(tmp_path, "python3", suits=True)
    a_python(tmp_path, "old", suits=False)
    done = find_python(tmp_path, PYTHON="old")
    assert done.returncode == 1
    assert "PYTHON=old is not a Python from 3.11 to 3.14" in done.stderr


@on_posix
def test_no_python_that_suits_is_said_plainly(tmp_path: Path):
    done = find_python(tmp_path)
    assert done.returncode == 1
    assert "needs Python 3.11, 3.12, 3.13 or 3.14" in done.stderr


@on_posix
def test_this_very_python_suits(tmp_path: Path):
    assert find_python(tmp_path, PYTHON=sys.executable).returncode == 0


@on_posix
def test_a_machine_that_may_not_install_is_told_the_one_line_to_type(tmp_path: Path):
    fake = tmp_path / "apt-get"
    fake.write_text("#!/bin/sh\necho called >&2\nexit 9\n")
    fake.chmod(0o755)
    done = subprocess.run(
        ["/bin/sh", str(ROOT / ".setup" / "install-debian"), "libegl1", "libgl1"],
        env={"PATH": f"{tmp_path}:/usr/bin:/bin", "SLOTLEAF_NO_APT": "1"},
        capture_output=True,
        text=True,
        check=False,
        timeout=30,
    )
    assert done.returncode == 1
    assert "sudo apt-get install --yes libegl1 libgl1" in done.stderr
    assert "called" not in done.stderr


A_PYTHON_WITHOUT_VENV = """#!/bin/sh
case "$*" in
    *ensurepip*) exit 1 ;;
    *sys.executable*) echo "$0" ;;
    *%d.%d*) echo 3.11 ;;
    *) echo "unexpected: $*" >&2; exit 9 ;;
esac
"""


@on_posix
def test_a_python_that_makes_no_environment_stops_the_set_up_with_what_to_type(tmp_path: Path):
    shutil.copytree(ROOT / ".setup", tmp_path / ".setup")
    python = tmp_path / "python-without-venv"
    python.write_text(A_PYTHON_WITHOUT_VENV)
    python.chmod(0o755)
    done = subprocess.run(
        ["/bin/sh", str(tmp_path / ".setup" / "setup")],
        env={"PATH": "/usr/bin:/bin", "PYTHON": str(python), "SLOTLEAF_NO_APT": "1"},
        capture_output=True,
        text=True,
        check=False,
        timeout=30,
    )
    assert done.returncode == 1
    assert "cannot make virtual environments yet" in done.stdout
    assert re.search(r"python3(\.11)?-venv", done.stderr)
    assert "unexpected" not in done.stderr
    assert not (tmp_path / ".venv").exists()


@on_posix
def test_every_script_can_be_run():
    scripts = [p for p in (ROOT / ".setup").rglob("*") if p.is_file()]
    scripts.append(ROOT / ".ci" / "run")
    assert len(scripts) >= 5
    for script in scripts:
        assert os.access(script, os.X_OK), script
        shell = "bash" if "bash" in script.read_text("utf-8").splitlines()[0] else "sh"
        subprocess.run([shell, "-n", str(script)], check=True, timeout=30)


# --- the files that travel along ------------------------------------------------------------------


def fonts() -> list[dict[str, Any]]:
    found = tomllib.loads(resources.read_text("fonts/SOURCES.toml"))["font"]
    assert isinstance(found, list)
    return found


def icons() -> list[dict[str, Any]]:
    found = tomllib.loads(resources.read_text("icons/SOURCES.toml"))["icons"]
    assert isinstance(found, list)
    return found


def test_every_font_and_icon_is_in_the_table_of_sources_and_the_other_way_round():
    in_folder = {n for n in resources.names("fonts") if n.endswith((".ttf", ".otf"))}
    assert in_folder == {font["file"] for font in fonts()}
    svgs = {n for n in resources.names("icons") if n.endswith(".svg")}
    assert svgs == {name for each in icons() for name in each["files"]}


@pytest.mark.parametrize(
    ("folder", "asset", "words"),
    [
        *(
            ("fonts", font, {"OFL-1.1": "SIL OPEN FONT LICENSE Version 1.1"})
            for font in fonts()[:4]
        ),
        ("fonts", fonts()[4], {"Bitstream-Vera": "Bitstream Vera Fonts Copyright"}),
        ("fonts", fonts()[5], {"Apache-2.0": "Version 2.0, January 2004"}),
        ("icons", icons()[0], {"ISC AND MIT": "ISC License"}),
    ],
)
def test_every_asset_carries_its_licence(folder: str, asset: dict[str, Any], words: dict[str, str]):
    text = resources.read_text(f"{folder}/{asset['licence_file']}")
    assert words[asset["licence"]] in text
    assert asset["title"]
    assert asset["package"]
    assert asset["version"]


def test_the_tables_of_sources_name_no_address():
    for path in ("fonts/SOURCES.toml", "icons/SOURCES.toml"):
        assert not re.search(r"://|www\.|\.(com|org|io)\b", resources.read_text(path))


@pytest.mark.parametrize("font", fonts(), ids=lambda font: font["title"])
def test_a_font_is_plain_truetype_with_digits_of_one_width(font: dict[str, Any]):
    """The PDF library embeds TrueType outlines only; columns of figures need even digits."""
    with TTFont(ROOT / "resources" / "fonts" / font["file"]) as face:
        assert "glyf" in face
        assert "CFF " not in face
        assert "fvar" not in face, "a variable font"
        assert font["version"] in face["name"].getDebugName(5)
        cmap, advance = face.getBestCmap(), face["hmtx"]
        digits = {advance[cmap[ord(d)]][0] for d in "0123456789" if ord(d) in cmap}
        assert len(digits) == (1 if font["digits"] else 0)


def test_the_fonts_together_draw_what_collectors_write():
    cover = set()
    for font in fonts():
        with TTFont(ROOT / "resources" / "fonts" / font["file"]) as face:
            cover |= set(face.getBestCmap())
    sample = "Kröner žluťoučký Ελλάδα Россия 昭和42年 大韓民國 한국 ひらがな 1776–1976 □▲▼■×≥±½¢£€¥"
    assert {char for char in sample if ord(char) not in cover} == set()


def test_every_icon_is_an_svg_that_takes_its_colour_from_outside():
    for name in resources.names("icons"):
        if name.endswith(".svg"):
            text = resources.read_text(f"icons/{name}")
            assert 'stroke="currentColor"' in text, name
            assert "<script" not in text
            assert "href" not in text


@pytest.mark.parametrize(
    "path",
    ["/etc/passwd", "../pyproject.toml", "icons/../../LICENSE", "a\\b", "C:/x", "", "a//b", "./a"],
)
def test_a_resource_path_cannot_leave_the_folder(path: str):
    with pytest.raises(resources.ResourceError, match="not allowed"):
        resources.read_bytes(path)


def test_a_resource_that_is_not_there_is_named():
    with pytest.raises(resources.ResourceError, match=r"icons/no-such\.svg"):
        resources.read_text("icons/no-such.svg")
    with pytest.raises(resources.ResourceError, match="nowhere"):
        resources.names("nowhere")
    with pytest.raises(resources.ResourceError, match="icons"):
        resources.read_bytes("icons")


def test_a_resource_that_is_not_text_is_not_read_as_text():
    with pytest.raises(resources.ResourceError, match="not UTF-8"):
        resources.read_text("fonts/NotoSans-Regular.ttf")


def test_the_top_of_the_resources_lists_its_folders():
    assert {"fonts", "icons"} <= set(resources.names(""))
    assert not any(name.startswith("__") for name in resources.names(""))


# --- what may stand in the project ----------------------------------------------------------------

# The name of a file format's vocabulary, required in each such file, and not an address to visit.
NAMESPACES = ("http://www.w3.org/2000/svg", "http://www.w3.org/1999/xlink")


def test_the_project_names_no_web_address():
    found = []
    for pattern in ("*.py", "*.toml", "*.md", "*.csv", "*.svg", "Makefile", "run", "setup"):
        for path in ROOT.rglob(pattern):
            top = path.relative_to(ROOT).parts[0]
            made_here = top.startswith(".") and top not in {".setup", ".ci"}
            if path.is_dir() or made_here or top in {"out", "build", "dist"}:
                continue
            text = path.read_text("utf-8")
            for namespace in NAMESPACES:
                text = text.replace(namespace, "")
            if re.search(r"https?:" + "//", text):
                found.append(path.relative_to(ROOT).as_posix())
    assert found == []


def test_the_tests_do_not_see_the_folders_of_the_person_who_runs_them():
    import platformdirs

    for folder in (
        platformdirs.user_data_dir("slotleaf"),
        platformdirs.user_config_dir("slotleaf"),
        platformdirs.user_cache_dir("slotleaf"),
        platformdirs.user_documents_dir(),
    ):
        assert "slotleaf-tests-" in folder


def test_user_folders_are_fresh_for_a_test_that_asks(user_folders: Path):
    import platformdirs

    assert Path(platformdirs.user_data_dir("slotleaf")).is_relative_to(user_folders)
