"""Keyframes of the motion, and how far what lies between them is from the exact motion.

A program that plays them moves origins along straight lines from key to key and turns by slerp: at an even rate about
one axis. Every frame of the engine turns about the crank's direction alone (``geometry.kinematics.laws``).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from geometry.arrays import Array
from geometry.assembly import Assembly

KEY_EVERY_DEG: Final = 1.0
SECONDS_FOR_720: Final = 12.0
"""Nominal pace: ten turns a minute, slow enough to follow a piston by eye."""
LOOKED_AT: Final = 4
"""Places in each step from key to key at which the motion is held against the exact one."""
STILL: Final = 1e-9
Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True, eq=False)
class Keys:
    """How one frame moves: one row for each key, as written.

    Attributes
    ----------
    shift_mm : (k, 3) origin in E
    turn : (k, 4) quaternion (x, y, z, w) of the pose in E; it never changes sign between keys
    shifts, turns : whether either changes at all
    """

    shift_mm: Floats
    turn: Floats
    shifts: bool
    turns: bool


@dataclass(frozen=True, slots=True, eq=False)
class Motion:
    """The keyframes of every frame over a whole cycle, the last as the first.

    Attributes
    ----------
    crank_deg : (k,) in the running direction
    times_s : (k,)
    """

    crank_deg: Array
    times_s: Floats
    frames: Mapping[str, Keys]


@dataclass(frozen=True, slots=True)
class Deviation:
    """How far the played motion is from the exact one, at most, wherever it was looked at.

    Attributes
    ----------
    point_mm : of any point of any part
    angle_deg : of any part
    """

    point_mm: float
    angle_deg: float


def motion_of(assembly: Assembly) -> Motion:
    """Keyframes over the whole cycle: two turns, or one where nothing takes two."""
    crank_deg = np.arange(0.0, 720.0 + KEY_EVERY_DEG, KEY_EVERY_DEG)
    poses = assembly.frame_poses(crank_deg)
    one_turn = len(crank_deg) // 2
    if all(np.allclose(X[: one_turn + 1], X[one_turn:], rtol=0.0, atol=STILL) for X in poses.values()):
        crank_deg, poses = crank_deg[: one_turn + 1], {name: X[: one_turn + 1] for name, X in poses.items()}
    times = (crank_deg * (SECONDS_FOR_720 / 720.0)).astype("<f4")
    return Motion(crank_deg, times, {name: _keys(X) for name, X in poses.items()})


def _keys(X_EF: Array) -> Keys:
    angle, shift = _angle_rad(X_EF), X_EF[:, :3, 3]
    turn = np.zeros((len(angle), 4))
    turn[:, 0], turn[:, 3] = (
        np.sin(angle / 2),
        np.cos(angle / 2),
    )  # of the unwrapped angle, hence without a jump
    return Keys(
        shift.astype("<f4"), turn.astype("<f4"), bool(np.ptp(shift, axis=0).max() > STILL),
        bool(np.ptp(angle) > STILL),
    )  # fmt: skip


def _angle_rad(X_EF: Array) -> Array:
    """Turn (k,) about +x of poses that turn about nothing else, without jumps from one to the next."""
    return np.unwrap(np.arctan2(X_EF[:, 2, 1], X_EF[:, 1, 1]))


def deviation(assembly: Assembly, motion: Motion, reach_mm: Mapping[str, float]) -> Deviation:
    """Play the keys and hold them against the exact motion.

    Parameters
    ----------
    reach_mm : by frame, how far from the frame's x axis its parts reach; a point as far off moves by the wrong
        angle as well as by the wrong shift
    """
    count = len(motion.crank_deg) - 1
    at_deg = np.linspace(motion.crank_deg[0], motion.crank_deg[-1], LOOKED_AT * count + 1)
    exact = assembly.frame_poses(at_deg)
    most_mm = most_deg = 0.0
    for name, reach in reach_mm.items():
        shift, turn = played(motion, motion.frames[name], at_deg)
        off_mm = np.linalg.norm(shift - exact[name][:, :3, 3], axis=1)
        half = 0.5 * _angle_rad(exact[name])
        # the part of one quaternion that the other has not: the sine of half the angle between them
        off_rad = 2.0 * np.arcsin(np.abs(turn[:, 0] * np.cos(half) - turn[:, 3] * np.sin(half)))
        most_mm = max(most_mm, float((off_mm + reach * off_rad).max()))
        most_deg = max(most_deg, float(np.degrees(off_rad.max())))
    return Deviation(most_mm, most_deg)


def played(motion: Motion, keys: Keys, at_deg: Array) -> tuple[Array, Array]:
    """What a program plays at crank angles (m,): origins (m, 3) and quaternions (m, 4).

    Linear and slerp between the keys as written, by the specification's appendix C.
    """
    keys_deg = motion.times_s.astype(float) * (720.0 / SECONDS_FOR_720)
    step = np.clip(np.searchsorted(keys_deg, at_deg, side="right") - 1, 0, len(keys_deg) - 2)
    low, high = keys_deg[step], keys_deg[step + 1]
    t = ((at_deg - low) / (high - low))[:, None]
    shift, turn = keys.shift_mm.astype(float), keys.turn.astype(float)
    turn /= np.linalg.norm(turn, axis=1, keepdims=True)
    before, after = turn[step], turn[step + 1]
    apart = np.arccos(np.clip(np.einsum("ij,ij->i", before, after), -1.0, 1.0))[:, None]
    near = apart < STILL
    sine = np.where(near, 1.0, np.sin(apart))
    first = np.where(near, 1.0 - t, np.sin((1.0 - t) * apart) / sine)
    second = np.where(near, t, np.sin(t * apart) / sine)
    return (1.0 - t) * shift[step] + t * shift[step + 1], first * before + second * after
