"""Writes the example log files: `python -m sample_logs.generate [folder]`."""

from __future__ import annotations

import sys
from pathlib import Path

from sample_logs.barn import BARN, SEED
from sample_logs.books import ods_bytes, xlsx_bytes
from sample_logs.loose import logger_csv, mixes_csv, stock_pages
from sample_logs.scribble import Pen, job_pages
from sample_logs.workshop import Shop, simulate


def untidy_files(shop: Shop, seed: int) -> dict[str, bytes]:
    """The files of a shop by name, as its people would hand them over."""
    pen = Pen(seed)
    return {
        "workshop-jobs.xlsx": xlsx_bytes(job_pages(shop, pen)),
        "mixes.csv": mixes_csv(shop, pen),
        "shed-logger.csv": logger_csv(shop, pen),
        "lots-and-moulds.ods": ods_bytes(stock_pages(shop)),
    }


def main(folder: Path) -> None:
    """Write the files of the example workshop into `folder`."""
    for name, data in untidy_files(simulate(BARN, SEED), SEED).items():
        (folder / name).write_bytes(data)


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
