"""Shaded solids and lines to an array of pixels, off-screen, by pyvista. Car frame, mm; OpenGL is known to work."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fitcheck.geometry.frames import Vector
from fitcheck.report.pictures.camera import FULL_ANGLE, Camera
from fitcheck.report.pictures.stage import Shell

FINER = 2  # drawn so many times larger and then averaged: smooth edges on every machine
PEELS = 12  # layers of translucent surface told apart
SMOOTH_DEG = 25.0


@dataclass(frozen=True, eq=False)
class Surface:
    """Shells in one colour ("#rrggbb"); `opacity` 0..1."""

    shells: tuple[Shell, ...]
    colour: str
    opacity: float = 1.0


@dataclass(frozen=True, eq=False)
class Lines:
    """Straight lines (k, 2, 3) in one colour, `width` in pixels."""

    ends: Vector
    colour: str
    width: float = 1.0
    opacity: float = 1.0


def rendered(models: Iterable[Surface | Lines], camera: Camera, background: str) -> NDArray[np.uint8]:
    """The picture (height, width, 3)."""
    pyvista = quiet_pyvista()
    size = [FINER * camera.width, FINER * camera.height]
    plotter = pyvista.Plotter(off_screen=True, window_size=size, lighting="light kit", border=False)
    plotter.set_background(background)
    plotter.disable_anti_aliasing()
    for model in models:
        _add(plotter, pyvista, model)
    plotter.enable_depth_peeling(number_of_peels=PEELS)
    _place(plotter, camera)
    try:
        large = plotter.screenshot(return_img=True)
    finally:
        plotter.close()
    blocks = np.asarray(large, dtype=np.uint16).reshape(camera.height, FINER, camera.width, FINER, 3)
    return np.asarray((blocks.sum(axis=(1, 3)) + FINER) // FINER**2, dtype=np.uint8)


def quiet_pyvista() -> Any:
    """The library, its own warnings switched off; costs most of a second."""
    import pyvista  # costs most of a second to import: only where a picture is made
    from vtkmodules.vtkCommonCore import vtkLogger, vtkObject

    vtkObject.GlobalWarningDisplayOff()
    vtkLogger.SetStderrVerbosity(vtkLogger.VERBOSITY_OFF)
    return pyvista


def _add(plotter: Any, pyvista: Any, model: Surface | Lines) -> None:
    if isinstance(model, Lines):
        if len(model.ends):
            _add_lines(plotter, pyvista, model)
        return
    if model.shells:
        _add_surface(plotter, pyvista, model)


def _add_surface(plotter: Any, pyvista: Any, model: Surface) -> None:
    plotter.add_mesh(
        mesh_of(pyvista, model),
        color=model.colour,
        opacity=model.opacity,
        smooth_shading=True,
        culling="back" if model.opacity < 1 else False,
        ambient=0.42,
        diffuse=0.62,
        specular=0.08,
        reset_camera=False,
        render=False,
    )


def mesh_of(pyvista: Any, model: Surface) -> Any:
    """All shells of a surface as one mesh with normals, round parts smooth."""
    starts = np.cumsum([0, *(len(shell.points) for shell in model.shells)])
    faces = np.vstack([shell.faces + start for shell, start in zip(model.shells, starts[:-1], strict=True)])
    mesh = pyvista.PolyData(np.vstack([shell.points for shell in model.shells]), np.insert(faces, 0, 3, axis=1).ravel())
    return mesh.compute_normals(split_vertices=True, feature_angle=SMOOTH_DEG, auto_orient_normals=False)


def _add_lines(plotter: Any, pyvista: Any, model: Lines) -> None:
    count = len(model.ends)
    pairs = np.column_stack([np.full(count, 2), np.arange(2 * count).reshape(-1, 2)]).ravel()
    mesh = pyvista.PolyData(model.ends.reshape(-1, 3), lines=pairs)
    actor = plotter.add_mesh(
        mesh,
        color=model.colour,
        opacity=model.opacity,
        line_width=model.width * FINER,
        lighting=False,
        reset_camera=False,
        render=False,
    )
    actor.mapper.SetResolveCoincidentTopologyToPolygonOffset()
    actor.mapper.SetRelativeCoincidentTopologyLineOffsetParameters(0, -4)  # edges in front of the faces they bound


def _place(plotter: Any, camera: Camera) -> None:
    plotter.camera.position = tuple(camera.eye)
    plotter.camera.focal_point = tuple(camera.eye + 1000.0 * camera.look)
    plotter.camera.up = tuple(camera.up)
    plotter.camera.view_angle = float(np.degrees(FULL_ANGLE))
    if camera.half_mm is not None:
        plotter.camera.enable_parallel_projection()
        plotter.camera.parallel_scale = camera.half_mm
    plotter.renderer.ResetCameraClippingRange()
