"""The store of one shop: trusted records, their history, and what the shop has told laylog."""

from analytics.records.store.connecting import default_store_url
from analytics.records.store.entries import Entry
from analytics.records.store.journal import Correction, Import
from analytics.records.store.memory import Confirmation, Observation
from analytics.records.store.saving import Counts, FileSaved, Read, SaveReport
from analytics.records.store.store import Store
from analytics.records.store.undoing import UndoReport

__all__ = [
    "Confirmation",
    "Correction",
    "Counts",
    "Entry",
    "FileSaved",
    "Import",
    "Observation",
    "Read",
    "SaveReport",
    "Store",
    "UndoReport",
    "default_store_url",
]
