"""A machine that cannot draw off-screen is found out in a child process, and told what to install."""

import os
import subprocess
import sys

import pytest

from fitcheck.errors import DrawingError
from fitcheck.report.pictures import opengl


@pytest.mark.parametrize(
    ("code", "reason"),
    [
        ("import os; os.abort()", "ended with code -?[0-9]+"),
        ("raise SystemExit(1)", "ended with code 1"),
        ("pass", "stayed blank"),
        ("import time; time.sleep(60)", "did not end within 0.5 s"),
    ],
)
def test_without_opengl_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch, code: str, reason: str) -> None:
    monkeypatch.setattr(opengl, "COMMAND", (sys.executable, "-c", code))
    monkeypatch.setattr(opengl, "TIME_LIMIT_S", 0.5 if "sleep" in code else 30.0)
    with pytest.raises(DrawingError, match=reason) as caught, opengl.off_screen():
        pass
    assert "libegl1 and libgl1-mesa-dri" in str(caught.value)
    assert "everything else works without pictures" in str(caught.value)


def test_a_probe_that_cannot_be_started_is_no_crash(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(opengl, "COMMAND", ("no-such-program-anywhere",))
    with pytest.raises(DrawingError, match="could not be started"), opengl.off_screen():
        pass


def test_the_settings_that_draw_are_tried_in_turn_and_put_back(monkeypatch: pytest.MonkeyPatch) -> None:
    draws = f"import os; print('{opengl.DRAWN}' if os.environ.get('{opengl.WINDOW}') == 'vtkEGLRenderWindow' else '')"
    monkeypatch.setattr(opengl, "COMMAND", (sys.executable, "-c", draws))
    monkeypatch.setattr(sys, "platform", "linux")
    monkeypatch.delenv(opengl.WINDOW, raising=False)
    with opengl.off_screen():
        assert os.environ[opengl.WINDOW] == "vtkEGLRenderWindow"
    assert opengl.WINDOW not in os.environ


def test_nothing_that_needs_opengl_is_imported_before_the_trial() -> None:
    code = (
        "import sys; import fitcheck.report.pictures.picture as p; from fitcheck.report.pictures import opengl\n"
        "from fitcheck.errors import DrawingError\n"
        "opengl.COMMAND = (sys.executable, '-c', 'raise SystemExit(1)')\n"
        "try:\n    p.picture(None, 'side')\n"
        "except DrawingError:\n    print(sorted(n for n in sys.modules if n.startswith(('vtk', 'pyvista'))))"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True)
    assert ran.stdout.strip() == "[]"
