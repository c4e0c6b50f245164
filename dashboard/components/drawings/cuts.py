"""The cross-section for each fault: where in the lay-up it sits. The mould is at the bottom."""

from __future__ import annotations

from collections.abc import Callable

from dashboard.components.drawings.canvas import (
    BACK,
    GEL,
    MOULD,
    SKIN,
    Point,
    blob,
    box,
    circle,
    curve,
    fibres,
    gelcoat,
    mould,
    oval,
    path,
    plies,
    ragged,
    sound_cut,
    spread,
    wave,
)

RELEASE = path([(4, MOULD), (236, MOULD)], "release")


def lifted(points: list[Point], rise: float) -> list[Point]:
    return [(x, y - rise) for x, y in points]


def sticking_whole() -> str:
    tear = ragged(4, 236, GEL - 2, 5, 11)
    part = path([(4, BACK - 8), (236, BACK - 8), *reversed(lifted(tear, 12))], "lam", True)
    left = path([*tear, (236, MOULD), (4, MOULD)], "gel", True)
    return (
        mould()
        + left
        + part
        + fibres(4, 236, BACK - 8, SKIN - 4, 4, 22)
        + path(tear, "thin")
        + path(lifted(tear, 12), "thin")
    )


def sticking_patches() -> str:
    up = 9.0
    part = plies(top=BACK - up, bottom=GEL - up) + box(4, GEL - up, 236, MOULD - up, "gel")
    stuck = path([(98, MOULD), (104, GEL - up), (150, GEL - up), (158, MOULD)], "gel", True)
    tears = path([(98, MOULD), (104, GEL - up), (110, GEL - up - 6)], "ink") + path(
        [(158, MOULD), (150, GEL - up), (143, GEL - up - 6)], "ink"
    )
    release = path([(4, MOULD), (98, MOULD)], "release") + path(
        [(158, MOULD), (236, MOULD)], "release"
    )
    return mould() + part + stuck + tears + release


def pinholes() -> str:
    holes = "".join(
        oval(x, MOULD - d / 2 - 1, 2.6, d / 2, "gap")
        for x, d in [(30, 9), (58, 12), (84, 6), (116, 11), (146, 7), (172, 12), (204, 8)]
    )
    return sound_cut() + holes


def air_voids() -> str:
    return sound_cut() + "".join(
        oval(x, GEL - 3, r, 5, "gap") for x, r in [(48, 15), (112, 24), (176, 11), (208, 8)]
    )


def print_through() -> str:
    face = wave(4, 236, MOULD - 3, 3, 26)
    film = path([(4, GEL + 3), (236, GEL + 3), *reversed(face)], "gel", True)
    bundles = "".join(
        oval(x, GEL - 2, 10, 5, "lam") + oval(x, GEL - 2, 10, 5, "thin") for x in range(17, 236, 26)
    )
    return mould() + plies(bottom=GEL + 3) + film + bundles + curve(face, "ink")


def tacky_face() -> str:
    strings = "".join(
        curve([(x, MOULD + 1), (x + 2, MOULD - 5), (x, GEL + 1)], "thin")
        for x in range(16, 232, 18)
    )
    return mould() + plies() + gelcoat(css="gel-soft") + strings + RELEASE


def tacky_back() -> str:
    drips = "".join(
        curve(
            [
                (x - 6, BACK + 1),
                (x - 1, BACK - 2),
                (x, BACK - 8),
                (x + 1, BACK - 2),
                (x + 6, BACK + 1),
            ],
            "ink on-paper",
        )
        for x in (34, 78, 130, 172, 214)
    )
    return sound_cut() + box(4, BACK, 236, BACK + 7, "gel-soft") + drips


def wrinkling() -> str:
    face, top = wave(4, 236, MOULD - 7, 7, 30), wave(4, 236, GEL - 5, 6, 30)
    film = curve([*top, *reversed(face)], "gel", closed=True)
    return mould() + plies(bottom=MOULD - 4) + film + curve(face, "ink") + curve(top, "thin")


def pre_release() -> str:
    face = [
        (4.0, MOULD),
        (104.0, MOULD),
        (140.0, MOULD - 2),
        (170.0, MOULD - 6),
        (204.0, MOULD - 11),
        (236.0, MOULD - 14),
    ]
    part = path([*lifted(face, 50), *reversed(lifted(face, 12))], "lam", True)
    film = path([*lifted(face, 13), *reversed(face)], "gel", True)
    gap = path([*face[1:], (236, MOULD)], "gap", True)
    return mould() + part + fibres(4, 150, BACK + 4, GEL - 6, 3, 18) + film + gap + RELEASE


def fish_eyes() -> str:
    craters = "".join(
        path(
            [(x - r, MOULD), (x - r * 0.5, GEL + 2), (x + r * 0.5, GEL + 2), (x + r, MOULD)],
            "gap",
            True,
        )
        + circle(x, MOULD - 1, 2.4, "hot")
        for x, r in [(50, 14), (118, 18), (186, 14)]
    )
    return sound_cut() + craters


def cracking() -> str:
    return sound_cut() + "".join(
        path([(x, MOULD), (x + 3, GEL + 6), (x - 2, GEL), (x + lean, GEL - 10)], "ink")
        for x, lean in [(40, 3), (86, -4), (124, 6), (132, -7), (178, 4), (212, -3)]
    )


def delamination() -> str:
    split = [
        (60.0, SKIN),
        (92.0, SKIN - 7),
        (140.0, SKIN - 10),
        (188.0, SKIN - 9),
        (236.0, SKIN - 12),
    ]
    low = [(236.0, SKIN + 3), (170.0, SKIN + 3), (100.0, SKIN + 2)]
    return sound_cut() + path([*split, *low], "gap", True)


def dry_spots() -> str:
    patch = blob(122, BACK + 12, 54, 31, "dry", 0.28)
    return (
        sound_cut()
        + patch
        + fibres(76, 178, BACK + 3, BACK + 24, 14, 18)
        + blob(122, BACK + 12, 54, 31, "thin", 0.28)
    )


def resin_rich() -> str:
    pool = [(236.0, 120.0), (196.0, 126.0), (152.0, 136.0), (126.0, SKIN), (236.0, SKIN)]
    return (
        sound_cut()
        + curve(pool, "pale", closed=True)
        + blob(200, 138, 15, 4, "hot", 0.6)
        + path([(186, 132), (198, 140), (214, 138)], "ink")
    )


def warping() -> str:
    face = [
        (4.0, MOULD),
        (42.0, MOULD - 8),
        (82.0, MOULD - 13),
        (120.0, MOULD - 15),
        (158.0, MOULD - 13),
        (198.0, MOULD - 8),
        (236.0, MOULD),
    ]
    gap = path(face, "gap", True)
    body = path([*lifted(face, 44), *reversed(lifted(face, 12))], "lam", True)
    film = path([*lifted(face, 13), *reversed(face)], "gel", True)
    return mould() + body + fibres(60, 186, BACK + 2, GEL - 16, 9, 14) + film + gap


def blisters() -> str:
    domes = "".join(
        oval(x, GEL + 5, r, 8, "gap") + oval(x, GEL + 6, r * 0.7, 4.5, "hot")
        for x, r in [(54, 16), (124, 22), (192, 14)]
    )
    return sound_cut() + domes


def dull_surface() -> str:
    built = ragged(4, 236, MOULD - 3, 3, 23, 4)
    crust = path([*built, (236, MOULD), (4, MOULD)], "hot", True)
    return mould() + plies() + gelcoat() + crust + path(built, "thin") + RELEASE


def colour_streaks() -> str:
    swirls = "".join(
        curve([(x, GEL + 2), (x + 9, GEL + 10), (x + 16, GEL + 3), (x + 26, MOULD - 2)], "ink")
        for x in range(10, 220, 30)
    )
    specks = "".join(
        circle(x, y, 1.6, "pale") for x, y in spread(2, 40, (8, GEL + 2, 232, MOULD - 2), 6)
    )
    return sound_cut() + specks + swirls


CUTS: dict[str, Callable[[], str]] = {
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
