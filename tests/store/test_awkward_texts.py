"""Texts a bulk load could trip over come back as they were, whatever database keeps them."""

from __future__ import annotations

AWKWARD = (
    'a "quoted" word', "back\\slash \\N", "\\.", "two\nlines\n\\.\nthree", "comma, semicolon;",
    "NULL", "tab\there", "it's", "24 °C – née", " lead and trail ", "=1+1",
)  # fmt: skip


def test_awkward_texts_come_back_as_they_were(store, read, now):
    rows = [{"part_id": f"P-{n}", "notes": text} for n, text in enumerate(AWKWARD)]
    store.save(read(part=[*rows, {"part_id": "P-none"}]), now=now)
    parts = store.read_log().parts.set_index("part_id")
    assert [parts.loc[row["part_id"], "notes"] for row in rows] == list(AWKWARD)
    assert parts["notes"].isna().tolist() == [False] * len(rows) + [True]


def test_more_rows_than_one_statement_takes_keep_their_order(store, read, now):
    rows = [
        {"part_id": f"P-{n}", "air_c": n / 7 if n % 3 else None, "pva_used": bool(n % 2)}
        for n in range(257)
    ]
    store.save(read(part=rows), now=now)
    parts = store.read_log().parts
    assert parts["part_id"].tolist() == [row["part_id"] for row in rows]
    known = parts["air_c"].notna()
    assert parts.loc[known, "air_c"].tolist() == [n / 7 for n in range(257) if n % 3]
    assert parts["pva_used"].tolist() == [bool(n % 2) for n in range(257)]
