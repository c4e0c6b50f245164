"""The address bar holds the state of a page."""

from __future__ import annotations

from dashboard.state import (
    MOST_WORDS,
    address,
    changed,
    number_of,
    read,
    search_of,
    seen_of,
    seen_text,
    words_of,
)


def test_address_and_reading_it_are_each_others_inverse() -> None:
    given = {"part": "K 31/2 & co?#", "seen": "swab:soft,tape:hard"}
    assert read(address("/cause", **given).partition("?")[2]) == given


def test_check_results_stay_readable_in_the_address() -> None:
    assert search_of(part="K-31", seen="swab:soft") == "?part=K-31&seen=swab:soft"


def test_what_is_empty_is_left_out() -> None:
    assert address("/month", m=None, other="") == "/month"


def test_nothing_asked_reads_as_nothing() -> None:
    assert read(None) == read("") == read("?") == {}


def test_one_word_can_be_changed_and_another_taken_out() -> None:
    assert search_of(**changed({"part": "K", "skip": "a"}, skip=None, fault="pinholes")) == (
        "?part=K&fault=pinholes"
    )


def test_findings_keep_the_order_they_were_made_in() -> None:
    seen = seen_of({"seen": "tape:hard,swab:soft"})
    assert list(seen.items()) == [("tape", "hard"), ("swab", "soft")]
    assert seen_text(seen) == "tape:hard,swab:soft"


def test_findings_that_make_no_sense_are_left_out() -> None:
    assert seen_of({"seen": "tape,:x,swab:,ok:1,"}) == {"ok": "1"}


def test_lists_are_split_at_commas() -> None:
    assert words_of({"skip": "a,,b"}, "skip") == ("a", "b")
    assert words_of({}, "skip") == ()


def test_numbers_may_have_a_decimal_comma() -> None:
    assert number_of({"t": "18,5"}, "t") == 18.5


def test_what_is_no_number_falls_back() -> None:
    assert number_of({"t": "warm"}, "t") is None
    assert number_of({}, "pot", 1.0) == 1.0


def test_endless_addresses_are_not_read_to_their_end() -> None:
    assert len(read("&".join(f"a{n}=1" for n in range(500)))) == MOST_WORDS
