"""Example log files of a made-up workshop, and the parts and month to look at first."""

from pathlib import Path

FILES: tuple[Path, ...] = tuple(
    Path(__file__).parent / name
    for name in ("workshop-jobs.xlsx", "mixes.csv", "shed-logger.csv", "lots-and-moulds.ods")
)
STUCK_PART = "B0323"
PINHOLE_PART = "B0252"
REVIEW_MONTH = "2025-04"
