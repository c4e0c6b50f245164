"""The store of one shop: trusted records, their history, and what the shop has told laylog."""

from analytics.records.store.connecting import default_store_url
from analytics.records.store.correcting import Correct, Current
from analytics.records.store.entries import Entry
from analytics.records.store.journal import Correction, Import
from analytics.records.store.memory import Confirmation, Observation
from analytics.records.store.restoring import RestoreReport, in_words, restore
from analytics.records.store.saving import Counts, FileSaved, Read, SaveReport
from analytics.records.store.store import Store
from analytics.records.store.undoing import UndoReport

__all__ = [
    "Confirmation",
    "Correct",
    "Correction",
    "Counts",
    "Current",
    "Entry",
    "FileSaved",
    "Import",
    "Observation",
    "Read",
    "RestoreReport",
    "SaveReport",
    "Store",
    "UndoReport",
    "default_store_url",
    "in_words",
    "restore",
]
