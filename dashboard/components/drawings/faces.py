"""The look of the face for each fault: what the eye finds on the part."""

from __future__ import annotations

import math
from collections.abc import Callable
from random import Random

from dashboard.components.drawings.canvas import (
    FACE,
    blob,
    box,
    circle,
    curve,
    oval,
    path,
    ragged,
    raw_back,
    sound_face,
    spread,
)

INSIDE = (18.0, 16.0, 222.0, 96.0)


def sticking_whole() -> str:
    islands = [(40, 34, 20), (112, 84, 24), (196, 30, 17), (214, 92, 15), (26, 92, 13)]
    kept = "".join(
        blob(x, y, r, k, "gel") + blob(x, y, r, k, "ink") for k, (x, y, r) in enumerate(islands)
    )
    return raw_back() + path(ragged(70, 168, 44, 6, 2), "ink") + kept


def sticking_patches() -> str:
    spots = [(66, 42, 24), (168, 70, 30), (120, 28, 11)]
    return sound_face() + "".join(
        blob(x, y, r, k + 20, "lam") + blob(x, y, r, k + 20, "ink")
        for k, (x, y, r) in enumerate(spots)
    )


def pinholes() -> str:
    return sound_face() + "".join(circle(x, y, 1.9, "hole") for x, y in spread(4, 62, INSIDE, 9))


def air_voids() -> str:
    shells = "".join(
        oval(x, y, r, r * 0.72, "shade") + oval(x, y, r, r * 0.72, "thin")
        for x, y, r in [(60, 38, 16), (178, 36, 12), (196, 82, 10)]
    )
    broken = (
        blob(116, 72, 24, 9, "hole")
        + blob(116, 72, 24, 9, "ink")
        + path([(98, 62), (86, 54)], "ink")
        + path([(136, 62), (148, 52)], "ink")
    )
    return sound_face() + shells + broken


def print_through() -> str:
    rng, strands = Random(8), []
    for x, y in spread(8, 74, (0, 0, 230, 104), 13):
        turn, reach = rng.uniform(0, math.pi), rng.uniform(12, 19)
        dx, dy = reach * math.cos(turn), reach * math.sin(turn)
        strands.append(path([(x - dx, y - dy), (x + dx, y + dy)], "thin"))
    return sound_face() + "".join(strands)


def fingerprint(x: float, y: float) -> str:
    rings = "".join(oval(x, y, 5.5 * k, 7.5 * k, "thin") for k in range(1, 5))
    return oval(x, y, 25, 34, "pale") + rings


def tacky_face() -> str:
    smear = curve([(150, 78), (172, 66), (196, 76), (220, 62)], "thin")
    return sound_face() + fingerprint(92, 56) + fingerprint(166, 50) + smear


def tacky_back() -> str:
    return raw_back() + fingerprint(92, 56) + fingerprint(166, 50)


def wrinkling() -> str:
    rng, ridges = Random(2), []
    for row in range(7):
        points = [
            (-6.0 + 13 * k, 10 + 15 * row + (7 if (k + row) % 2 else -7) + rng.uniform(-3, 3))
            for k in range(20)
        ]
        ridges.append(curve(points, "ink"))
        ridges.extend(
            path([points[k], (points[k][0] + 4, points[k][1] + 12)], "thin")
            for k in range(row % 3, 20, 3)
        )
    return sound_face() + "".join(ridges)


def pre_release() -> str:
    border = [(240.0, 18.0), (176, 24), (140, 52), (152, 86), (196, 112), (240, 112)]
    ripples = "".join(curve([(x + 13 * k, y) for x, y in border[1:5]], "thin") for k in (1, 2, 3))
    return sound_face() + curve(border, "shade", closed=True) + curve(border, "ink") + ripples


def fish_eyes() -> str:
    spots = [(52, 34, 12), (112, 74, 15), (172, 38, 13), (206, 82, 9), (66, 86, 8), (126, 26, 6)]
    return sound_face() + "".join(
        circle(x, y, r, "pale") + circle(x, y, r, "ink") + circle(x, y, r * 0.42, "hole")
        for x, y, r in spots
    )


def cracking() -> str:
    rng, lines = Random(6), []
    for k in range(9):
        turn = 2 * math.pi * k / 9 + rng.uniform(-0.2, 0.2)
        reach = rng.uniform(34, 58)
        lines.append(
            path(
                [
                    (
                        88 + d * math.cos(turn + rng.uniform(-0.14, 0.14)),
                        56 + 0.8 * d * math.sin(turn + rng.uniform(-0.14, 0.14)),
                    )
                    for d in (2, reach / 2, reach)
                ],
                "ink",
            )
        )
    ring = curve(
        [
            (88 + 22 * math.cos(t), 56 + 17 * math.sin(t))
            for t in [k * math.pi / 5 for k in range(2, 9)]
        ],
        "thin",
    )
    edge = "".join(path(ragged(180, 232, 26 + 15 * k, 4, k + 40, 9), "thin") for k in range(5))
    return sound_face() + "".join(lines) + ring + edge


def delamination() -> str:
    peeled = path([(236, 108), (150, 108), (176, 78), (206, 58), (236, 46)], "lam", True)
    lifted = path([(150, 108), (176, 78), (206, 58), (236, 46)], "ink")
    flap = curve([(150, 108), (160, 92), (140, 66), (176, 48), (206, 34), (236, 46)], "shade", True)
    return sound_face() + peeled + flap + lifted + curve([(40, 34), (70, 26), (98, 40)], "thin")


def dry_spots() -> str:
    rng, drawn = Random(3), []
    for k, (x, y, r) in enumerate([(70, 50, 34), (172, 66, 40)]):
        drawn.append(blob(x, y, r, k + 70, "dry"))
        for _ in range(17):
            turn, at = rng.uniform(0, math.pi), rng.uniform(-0.55, 0.55) * r
            dx, dy = 9 * math.cos(turn), 7 * math.sin(turn)
            px, py = x + at, y + rng.uniform(-0.4, 0.4) * r
            drawn.append(path([(px - dx, py - dy), (px + dx, py + dy)], "fibre"))
        drawn.append(blob(x, y, r, k + 70, "thin"))
    return raw_back() + "".join(drawn)


def resin_rich() -> str:
    pool = [(236.0, 108.0), (96, 108), (120, 84), (166, 74), (206, 50), (236, 34)]
    scorch = blob(198, 86, 24, 5, "hot") + blob(160, 96, 10, 6, "hot")
    cracks = path([(180, 76), (196, 84), (204, 96), (222, 100)], "ink")
    return raw_back() + path(pool, "pale", True) + path(pool[1:], "ink") + scorch + cracks


def warping() -> str:
    left, top, right, bottom = FACE
    bent = [(left + 8, 62.0), (36, 44), (78, 30), (120, 25), (162, 30), (204, 44), (right - 8, 62)]
    panel = path([*bent, *((x, y + 30) for x, y in reversed(bent))], "gel", True)
    bench = path([(left + 6, 96), (right - 6, 96)], "ink on-paper")
    gaps = "".join(path([(x, 60), (x, 92)], "thin on-paper") for x in (104, 120, 136))
    return box(left, top, right, bottom, "paper", 8) + panel + path(bent, "ink") + gaps + bench


def blisters() -> str:
    spots = [(58, 40, 17), (128, 66, 21), (190, 38, 14), (202, 84, 10), (66, 86, 9)]
    return sound_face() + "".join(
        oval(x, y, r, r * 0.8, "shade")
        + oval(x, y, r, r * 0.8, "ink")
        + curve(
            [(x - r * 0.55, y - r * 0.1), (x - r * 0.4, y - r * 0.5), (x, y - r * 0.52)], "gloss"
        )
        + oval(x - r * 0.3, y - r * 0.32, r * 0.26, r * 0.16, "pale")
        for x, y, r in spots
    )


def dull_surface() -> str:
    haze = box(112, FACE[1], FACE[2], FACE[3], "pale")
    grain = "".join(circle(x, y, 1.1, "deep") for x, y in spread(12, 190, (116, 8, 232, 104), 5))
    return sound_face() + haze + grain + path(ragged(4, 104, 0, 0, 1), "thin")


def colour_streaks() -> str:
    rng, streaks = Random(5), []
    for k in range(8):
        x = 22 + 28 * k + rng.uniform(-6, 6)
        wide = rng.uniform(5, 11)
        points = [(x, 0.0), (x + 8, 34), (x - 5, 70), (x + 4, 112)]
        back = [(px + wide, py) for px, py in reversed(points)]
        streaks.append(curve([*points, *back], ("deep", "pale")[k % 2], closed=True))
    return sound_face() + "".join(streaks)


FACES: dict[str, Callable[[], str]] = {
    "sticking-whole": sticking_whole,
    "sticking-patches": sticking_patches,
    "pinholes": pinholes,
    "air-voids": air_voids,
    "print-through": print_through,
    "tacky-face": tacky_face,
    "tacky-back": tacky_back,
    "wrinkling": wrinkling,
    "pre-release": pre_release,
    "fish-eyes": fish_eyes,
    "cracking": cracking,
    "delamination": delamination,
    "dry-spots": dry_spots,
    "resin-rich": resin_rich,
    "warping": warping,
    "blisters": blisters,
    "dull-surface": dull_surface,
    "colour-streaks": colour_streaks,
}
