"""Photos of a hide in its frame, drawn here: a plane of known shapes, a camera at a pose by lot, a lens that bends, noise, JPEG.

The lens bends by the model of Brown and Conrady (r · (1 + k · r²)), which is not the one that the rule undoes.
"""

from __future__ import annotations

from dataclasses import dataclass
from io import BytesIO

import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw

Points = NDArray[np.float64]

WOOD_MM = 55
ROOM_MM = 260


@dataclass(frozen=True)
class Scene:
    """The inside of a frame and what hangs in it, in mm from the frame's top left."""

    width: float
    height: float
    outline: Points
    holes: tuple[Points, ...] = ()


@dataclass(frozen=True)
class Camera:
    """`matrix` takes the plane to the photo of an ideal lens; `bend` is what the lens does to that."""

    matrix: Points
    bend: float
    size: tuple[int, int]

    def sees(self, plane: Points) -> Points:
        found = np.column_stack([plane, np.ones(len(plane))]) @ self.matrix.T
        return self.bent(found[:, :2] / found[:, 2:])

    def bent(self, ideal: Points) -> Points:
        middle = np.array(self.size) / 2
        off = ideal - middle
        return np.asarray(middle + off * (1 + self.bend * (off**2).sum(axis=1, keepdims=True) / (middle**2).sum()))

    def lies(self, seen: Points) -> Points:
        """Where on the plane a pixel looks."""
        middle = np.array(self.size) / 2
        off = seen - middle
        ideal = off.copy()
        for _ in range(12):
            ideal = off / (1 + self.bend * (ideal**2).sum(axis=1, keepdims=True) / (middle**2).sum())
        found = np.column_stack([middle + ideal, np.ones(len(seen))]) @ np.linalg.inv(self.matrix).T
        return np.asarray(found[:, :2] / found[:, 2:])


def hide(lot: np.random.Generator, width: float, height: float, points: int = 40) -> Points:
    """An outline as a stretched skin has one: wide at neck and rump, drawn in between its lacings."""
    turn = np.linspace(0, 2 * np.pi, points, endpoint=False)
    reach = 1 + sum(lot.uniform(-0.07, 0.07) * np.cos(n * turn + lot.uniform(0, 7)) for n in range(2, 6))
    reach *= lot.uniform(0.78, 0.86) / reach.max()
    middle = np.array([width, height]) / 2
    return np.asarray(middle + middle * np.column_stack([np.cos(turn), np.sin(turn)]) * reach[:, None])


def hole(lot: np.random.Generator, scene_width: float, scene_height: float) -> Points:
    turn = np.linspace(0, 2 * np.pi, 12, endpoint=False)
    middle = np.array([scene_width, scene_height]) * lot.uniform(0.42, 0.58, 2)
    return np.asarray(middle + lot.uniform(25, 45) * np.column_stack([np.cos(turn), 0.7 * np.sin(turn)]))


def camera(
    lot: np.random.Generator, scene: Scene, size: tuple[int, int], *, tilt: float = 45.0, bend: float = 0.03
) -> Camera:
    """Up to `tilt` degrees from straight above in any direction, turned in the hand by up to 20, as near as the frame fits."""
    focal = lot.uniform(0.75, 1.2) * max(size)
    lean, way, roll = np.radians(lot.uniform(0, tilt)), lot.uniform(0, 2 * np.pi), np.radians(lot.uniform(-20, 20))
    axis = np.array([np.cos(way), np.sin(way), 0])
    cross = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
    leaning = np.eye(3) + np.sin(lean) * cross + (1 - np.cos(lean)) * cross @ cross
    turned = np.array([[np.cos(roll), -np.sin(roll), 0], [np.sin(roll), np.cos(roll), 0], [0, 0, 1]])
    stands = turned @ leaning
    inner = np.array([[focal, 0, size[0] / 2], [0, focal, size[1] / 2], [0, 0, 1]])
    middle = np.array([scene.width, scene.height]) / 2
    bow = lot.uniform(-bend, bend)
    outer = np.array([(-WOOD_MM, -WOOD_MM), (scene.width + WOOD_MM, -WOOD_MM)])
    below = np.array([0, scene.height + 2 * WOOD_MM])
    outer = np.vstack([outer, outer[::-1] + below])
    for far in np.geomspace(0.5, 8, 200) * max(scene.width, scene.height):
        # The camera looks at the middle of the frame, give or take a little.
        back = np.column_stack([stands[:, 0], stands[:, 1], -stands[:, :2] @ middle + (0, 0, far)])
        if (np.column_stack([outer, np.ones(4)]) @ back[2] <= 0.2 * far).any():
            continue
        found = Camera(inner @ back, bow, size)
        seen = found.sees(outer)
        if (seen > 8).all() and (seen < np.array(size) - 8).all():
            return found
    raise AssertionError("no camera sees the whole frame")


def photo(lot: np.random.Generator, scene: Scene, view: Camera) -> bytes:
    """A JPEG of the scene: wood round a floor, a pale hide with darker blots laced to it by cords, light that falls off, noise."""
    grain = 1.5  # drawn pixels for a mm
    room = Image.new("L", tuple(int((side + 2 * ROOM_MM) * grain) for side in (scene.width, scene.height)), 70)
    pen = ImageDraw.Draw(room)

    def on_sheet(points: Points) -> list[tuple[float, float]]:
        return [(float(x), float(y)) for x, y in (points + ROOM_MM) * grain]

    def box(edge: float) -> list[tuple[float, float]]:
        return on_sheet(np.array([(-edge, -edge), (scene.width + edge, scene.height + edge)]))

    pen.rectangle(box(WOOD_MM), fill=150)
    pen.rectangle(box(0), fill=60)
    for x, y in scene.outline[::2]:
        sides = {
            x: (-10, y),
            scene.width - x: (scene.width + 10, y),
            y: (x, -10),
            scene.height - y: (x, scene.height + 10),
        }
        pen.line(on_sheet(np.array([(x, y), sides[min(sides)]])), fill=185, width=8)
    pen.polygon(on_sheet(scene.outline), fill=205)
    for _ in range(6):
        x, y = on_sheet(scene.outline[lot.integers(len(scene.outline))][None] * 0.5 + scene.outline.mean(axis=0) * 0.5)[
            0
        ]
        pen.ellipse([x - 30, y - 20, x + 30, y + 20], fill=190)
    for each in scene.holes:
        pen.polygon(on_sheet(each), fill=60)
    sheet = np.asarray(room, dtype=float)
    width, height = view.size
    x, y = np.meshgrid(np.arange(width) + 0.5, np.arange(height) + 0.5)
    at = (view.lies(np.column_stack([x.ravel(), y.ravel()])) + ROOM_MM) * grain - 0.5
    across = np.clip(at[:, 0], 0, sheet.shape[1] - 1.001)
    down = np.clip(at[:, 1], 0, sheet.shape[0] - 1.001)
    left, top = across.astype(int), down.astype(int)
    right, low = across - left, down - top
    upper = sheet[top, left] * (1 - right) + sheet[top, left + 1] * right
    lower = sheet[top + 1, left] * (1 - right) + sheet[top + 1, left + 1] * right
    seen = (upper * (1 - low) + lower * low).reshape(height, width)
    seen *= 1 - 0.25 * ((x / width - 0.5) ** 2 + (y / height - 0.5) ** 2)
    seen += lot.normal(0, 5, seen.shape)
    written = BytesIO()
    Image.fromarray(np.clip(seen, 0, 255).astype(np.uint8)).save(written, "JPEG", quality=80)
    return written.getvalue()


def straight() -> bytes:
    """A frame of 600 × 400 pixels, seen from straight above, in a photo of 800 × 600, with a pale hide of 400 × 200."""
    sheet = Image.new("L", (800, 600), 70)
    pen = ImageDraw.Draw(sheet)
    pen.rectangle((60, 60, 740, 540), fill=150)
    pen.rectangle((100, 100, 699, 499), fill=60)
    pen.rectangle((200, 200, 599, 399), fill=205)
    written = BytesIO()
    sheet.save(written, "JPEG", quality=90)
    return written.getvalue()
