"""The door `./bench`, driven with made-up programs on its path: nothing is installed and no network is asked.

The expected behaviour is that of docs/decisions/0001; every fake writes down how it was called.
"""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
# What a POSIX system has; everything else that ./bench finds is made up here.
POSIX = (
    "sh",
    "cat",
    "cksum",
    "dirname",
    "mktemp",
    "readlink",
    "rm",
    "sed",
    "tail",
    "true",
    "mkdir",
    "ln",
    "env",
)

PYTHON = """\
#!/bin/sh
echo "python $*" >>"$CALLS"
case "$*" in
*"import pip"*) exit "${NO_PIP:-0}" ;;
*"import ensurepip"*) exit "${NO_ENSUREPIP:-1}" ;;
-c*) exit "${TOO_OLD:-0}" ;;
*"-m venv"*)
    driver=.venv/lib/python3.13/site-packages/playwright/driver
    rm -rf .venv && mkdir -p .venv/bin $driver && ln -s "$0" .venv/bin/python && ln -s "$0" $driver/node
    case "$*" in *--without-pip*) ;; *) ln -s "$0" .venv/bin/pip ;; esac
    ;;
*"-m pip"*) exit "${PIP_FAILS:-0}" ;;
*"-m pytest"*) echo "pytest with $* in ${CHROMIUM:-no browser} ${BENCH_NO_BROWSER:-}" ;;
--version) [ ! -e driver-lacks-a-library ] ;;
-V) echo "Python 3.13.0" ;;
esac
"""


@dataclass(frozen=True)
class Door:
    """A copy of ./bench on a system that has only what was put there."""

    folder: Path

    def program(self, name: str, text: str = "") -> None:
        """Put a made-up program on the path."""
        path = self.folder / "bin" / name
        path.write_text(text or f'#!/bin/sh\necho "{name} $*" >>"$CALLS"\n', encoding="utf-8")
        path.chmod(0o755)

    def run(self, *arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
        """Call ./bench; PATH holds the made-up programs alone."""
        bin_ = str(self.folder / "bin")
        env = {"PATH": bin_, "CALLS": str(self.folder / "calls"), "HOME": str(self.folder), **environment}
        command = [f"{bin_}/sh", str(self.folder / "bench"), *arguments]
        return subprocess.run(command, env=env, capture_output=True, text=True, check=False, timeout=60)

    def calls(self) -> str:
        """How the fakes were called since the last look."""
        path = self.folder / "calls"
        said = path.read_text(encoding="utf-8") if path.exists() else ""
        path.unlink(missing_ok=True)
        return said


@pytest.fixture
def door(tmp_path: Path) -> Door:
    """A fresh clone as far as ./bench can see, no Python yet."""
    (tmp_path / "bin").mkdir()
    for name in POSIX:
        found = shutil.which(name)
        assert found is not None, f"{name} is part of POSIX or of every system we run on"
        (tmp_path / "bin" / name).symlink_to(found)
    shutil.copy(ROOT / "bench", tmp_path)
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    shutil.copytree(ROOT / "locks", tmp_path / "locks")
    made = Door(tmp_path)
    made.program("id", "#!/bin/sh\necho 1000\n")
    return made


@pytest.fixture
def ready(door: Door) -> Door:
    """The same with a Python that has pip, and with a browser."""
    door.program("python3", PYTHON)
    door.program("chromium")
    return door


def test_the_set_up_takes_only_what_is_locked(ready: Door) -> None:
    assert ready.run("run", "--no-open").returncode == 0
    calls = ready.calls()
    assert "venv --clear --without-pip .venv" in calls
    assert "--only-binary :all: --require-hashes -r locks/run.lock" in calls
    assert "--no-deps --no-build-isolation --editable ." in calls
    assert calls.endswith("-m countershaft demo --no-open\n")


def test_a_second_start_sets_nothing_up(ready: Door) -> None:
    ready.run("run")
    ready.calls()
    assert ready.run("run").stderr == ""
    assert ready.calls() == "python -m countershaft demo\n"


def test_the_test_environment_serves_the_run_too(ready: Door) -> None:
    ready.run("run")
    ready.calls()
    assert ready.run("test").returncode == 0
    calls = ready.calls()
    assert "locks/test.lock" in calls
    assert "venv" not in calls.replace(".venv", "")
    ready.run("run")
    assert ready.calls() == "python -m countershaft demo\n"


@pytest.mark.parametrize(("file", "again"), [("locks/run.lock", True), ("pyproject.toml", False)])
def test_a_changed_lock_is_set_up_again_and_a_changed_tool_setting_is_not(
    ready: Door, file: str, again: bool
) -> None:
    ready.run("run")
    ready.calls()
    path = ready.folder / file
    path.write_text(path.read_text(encoding="utf-8") + "\n# changed\n", encoding="utf-8")
    ready.run("run")
    assert ("-m pip" in ready.calls()) is again


def test_a_set_up_that_failed_says_so_and_is_tried_again(ready: Door) -> None:
    failed = ready.run("run", PIP_FAILS="1")
    assert failed.returncode == 1
    assert "did not finish" in failed.stderr
    assert "BENCH_PYTHON" in failed.stderr
    assert "countershaft demo" not in ready.calls()
    assert ready.run("run").returncode == 0
    assert "-m pip" in ready.calls()


def test_no_python_is_said(door: Door) -> None:
    found = door.run("run")
    assert found.returncode == 1
    assert "No Python 3.11 or newer is here" in found.stderr


def test_an_old_python_is_no_python(ready: Door) -> None:
    assert "No Python 3.11 or newer is here" in ready.run("run", TOO_OLD="1").stderr


def test_a_python_is_named_by_its_path(door: Door) -> None:
    place = door.folder / "a place"
    place.mkdir()
    (place / "py").write_text(PYTHON, encoding="utf-8")
    (place / "py").chmod(0o755)
    assert door.run("run", BENCH_PYTHON=str(place / "py")).returncode == 0
    assert "countershaft demo" in door.calls()


def test_without_pip_the_python_s_own_copy_is_taken(ready: Door) -> None:
    assert ready.run("run", NO_PIP="1", NO_ENSUREPIP="0").returncode == 0
    assert "venv --clear .venv" in ready.calls()


def test_without_any_pip_the_command_is_said(ready: Door) -> None:
    ready.program("apt-get")
    found = ready.run("run", NO_PIP="1")
    assert found.returncode == 1
    assert "sudo apt-get install -y --no-install-recommends python3-pip" in found.stderr
    assert "apt-get" not in ready.calls()


def test_where_it_may_pip_is_installed(door: Door) -> None:
    door.program("python3", PYTHON.replace('"${NO_PIP:-0}"', '"$([ -e pip-is-there ]; echo $?)"'))
    door.program("dnf", '#!/bin/sh\necho "dnf $*" >>"$CALLS"\n: >pip-is-there\n')
    door.program("id", "#!/bin/sh\necho 0\n")
    assert door.run("run").returncode == 0
    assert "dnf install -y python3-pip" in door.calls()


def test_the_tests_get_the_browser_that_is_there(ready: Door) -> None:
    said = ready.run("test", "-k", "ratio").stdout
    assert said == f"pytest with -m pytest -q -n auto -k ratio in {ready.folder}/bin/chromium \n"


def test_a_browser_named_by_hand_goes_before(ready: Door) -> None:
    ready.program("mine")
    assert ready.run("test", CHROMIUM="mine").stdout.endswith(f" in {ready.folder}/bin/mine \n")
    wrong = ready.run("test", CHROMIUM="/no/such")
    assert wrong.returncode == 1
    assert "CHROMIUM names /no/such, which is no program here" in wrong.stderr


def test_an_empty_shell_of_a_browser_is_none(ready: Door) -> None:
    ready.program("chromium", "#!/bin/sh\nexit 1\n")
    ready.program("google-chrome")
    assert ready.run("test").stdout.endswith("/bin/google-chrome \n")


@pytest.mark.parametrize(
    ("manager", "command"),
    [
        ("apt-get", "apt-get install -y --no-install-recommends chromium"),
        ("dnf", "dnf install -y chromium"),
        ("apk", "apk add chromium"),
        ("pacman", "pacman -S --noconfirm --needed chromium"),
        ("zypper", "zypper --non-interactive install chromium"),
        ("brew", "brew install --cask chromium"),
    ],
)
def test_where_it_may_the_browser_is_installed(door: Door, manager: str, command: str) -> None:
    door.program("python3", PYTHON)
    bin_ = door.folder / "bin"
    fake = f'#!/bin/sh\necho "{manager} $*" >>"$CALLS"\nln -sf {bin_}/made {bin_}/chromium\n'
    door.program("made")
    door.program(manager, fake)
    door.program("sudo", '#!/bin/sh\nshift\nexec "$@"\n')
    found = door.run("test")
    assert found.stdout.endswith("/bin/chromium \n")
    assert command in door.calls()


def test_where_it_may_not_the_browser_tests_are_skipped_with_a_word(door: Door) -> None:
    door.program("python3", PYTHON)
    door.program("apt-get")
    door.program("sudo", "#!/bin/sh\nexit 1\n")
    found = door.run("test")
    assert found.returncode == 0
    assert "in no browser no browser to drive" in found.stdout
    assert "sudo apt-get install -y --no-install-recommends chromium" in found.stderr
    assert "The tests in a browser are skipped" in found.stderr


def test_what_the_browser_s_driver_needs_is_installed_too(ready: Door) -> None:
    (ready.folder / "driver-lacks-a-library").touch()
    ready.program("apt-get", '#!/bin/sh\necho "apt-get $*" >>"$CALLS"\nrm -f driver-lacks-a-library\n')
    ready.program("id", "#!/bin/sh\necho 0\n")
    found = ready.run("test", CI="true")
    assert found.stdout.endswith("/bin/chromium \n")
    assert "apt-get install -y --no-install-recommends libatomic1" in ready.calls()


def test_a_driver_that_never_starts_skips_the_browser_tests_and_fails_the_gate(ready: Door) -> None:
    (ready.folder / "driver-lacks-a-library").touch()
    ready.program("apk")
    ready.program("id", "#!/bin/sh\necho 0\n")
    found = ready.run("test")
    assert "I do not know what apk calls the package that is missing" in found.stderr
    assert "in no browser no browser to drive" in found.stdout
    assert ready.run("test", CI="true").returncode == 1


def test_as_a_gate_a_missing_browser_is_a_failure(door: Door) -> None:
    door.program("python3", PYTHON)
    found = door.run("test", CI="true")
    assert found.returncode == 1
    assert "a missing browser is a failure" in found.stderr
    assert "-m pytest" not in door.calls()


def test_wrong_use_is_answered_with_the_verbs(door: Door) -> None:
    found = door.run("dance")
    assert found.returncode == 2
    assert 'There is no verb "dance"' in found.stderr
    assert "./bench test" in found.stderr
