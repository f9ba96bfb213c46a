"""Whether this machine can draw off-screen, or open a window, tried in a child process: VTK may end its process."""

import os
import subprocess
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from functools import cache

from fitcheck.errors import DrawingError

TIME_LIMIT_S = 30.0  # a first import from a slow disk takes its time
WINDOW = "VTK_DEFAULT_OPENGL_WINDOW"
DRAWN = "drawn"
# Clears a small window to magenta and reads it back: a window that merely opens proves nothing.
PROBE = f"""
import vtkmodules.vtkRenderingOpenGL2
from vtkmodules.vtkCommonCore import vtkObject, vtkUnsignedCharArray
from vtkmodules.vtkRenderingCore import vtkRenderer, vtkRenderWindow
vtkObject.GlobalWarningDisplayOff()
renderer = vtkRenderer()
renderer.SetBackground(1, 0, 1)
window = vtkRenderWindow()
window.SetOffScreenRendering(1)
window.SetSize(8, 8)
window.AddRenderer(renderer)
window.Render()
pixels = vtkUnsignedCharArray()
window.GetPixelData(0, 0, 7, 7, 0, pixels, 0)
if [pixels.GetValue(i) for i in range(3)] == [255, 0, 255]:
    print("{DRAWN}", flush=True)
"""
# The same with a window on the screen; where VTK takes one that is on no screen instead, nothing is drawn.
WINDOW_PROBE = PROBE.replace("window.SetOffScreenRendering(1)", "").replace(
    "window.Render()",
    "if window.GetClassName() in ('vtkEGLRenderWindow', 'vtkOSOpenGLRenderWindow'):\n"
    "    raise SystemExit('no screen')\nwindow.Render()",
)
WINDOW_COMMAND = (sys.executable, "-P", "-c", WINDOW_PROBE)
COMMAND = (sys.executable, "-P", "-c", PROBE)
TO_INSTALL = (
    "no picture: this machine cannot draw off-screen, OpenGL is missing. On Debian or Ubuntu install libegl1 and "
    "libgl1-mesa-dri, elsewhere the graphics driver; everything else works without pictures"
)

NO_WINDOW = (
    "no window: this machine has no display that OpenGL can draw on. On Linux run it in a desktop session with libgl1 "
    "and libgl1-mesa-dri installed, elsewhere install the graphics driver; fitcheck page and fitcheck picture show the "
    "same without a window"
)


def prepare_window() -> None:
    """Raises DrawingError where no window can be opened."""
    if sys.platform.startswith("linux") and not os.environ.get("DISPLAY"):
        raise DrawingError(f"{NO_WINDOW} (DISPLAY is not set)")
    reason = _fails(WINDOW_COMMAND, {})
    if reason is not None:
        raise DrawingError(f"{NO_WINDOW} ({reason})")


@contextmanager
def off_screen() -> Iterator[None]:
    """Within it pyvista may be imported and draws without a screen; raises DrawingError where that cannot work."""
    settings = prepare_drawing()
    before = {name: os.environ.get(name) for name in settings}
    os.environ.update(settings)
    try:
        yield
    finally:
        for name, value in before.items():
            os.environ.pop(name, None) if value is None else os.environ.update({name: value})


def prepare_drawing() -> Mapping[str, str]:
    """Environment settings with which this machine draws off-screen; raises DrawingError where it cannot."""
    return working_settings(COMMAND)


@cache
def working_settings(command: tuple[str, ...]) -> Mapping[str, str]:
    """Environment settings with which the probe `command` draws; none where it just does. Raises DrawingError."""
    reasons = []
    for settings in _candidates():
        reason = _fails(command, settings)
        if reason is None:
            return settings
        reasons.append(reason)
    raise DrawingError(f"{TO_INSTALL} ({reasons[-1]})")


def _candidates() -> Sequence[Mapping[str, str]]:
    """As things are first, so that what a person set counts; then the windows that need no screen, on Linux."""
    if not sys.platform.startswith("linux"):
        return ({},)
    return ({}, {WINDOW: "vtkEGLRenderWindow"}, {WINDOW: "vtkOSOpenGLRenderWindow"})


def _fails(command: Sequence[str], settings: Mapping[str, str]) -> str | None:
    """Why the probe did not draw, None where it did."""
    try:
        ran = subprocess.run(
            command, env={**os.environ, **settings}, capture_output=True, timeout=TIME_LIMIT_S, check=False
        )
    except subprocess.TimeoutExpired:
        return f"the trial drawing did not end within {TIME_LIMIT_S:g} s"
    except OSError as error:
        return f"the trial drawing could not be started: {error.strerror}"
    if ran.returncode == 0 and DRAWN.encode() in ran.stdout:
        return None
    return f"the trial drawing ended with code {ran.returncode}" if ran.returncode else "the trial drawing stayed blank"
