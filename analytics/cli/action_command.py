"""`laylog action`: what the shop changed, and whether it worked."""

from __future__ import annotations

import click

from analytics.cli import text
from analytics.cli.options import open_shop, print_json, shop_options
from analytics.month.actions import Action
from analytics.month.answer_pieces import Followed


@click.command(
    "action",
    epilog='Example: laylog action "thin coats" --since 2026-03-01 --hope sticking',
)
@click.argument("what", required=False)
@click.option("--since", metavar="YYYY-MM-DD", help="Since when; today if not said.")
@click.option("--hope", multiple=True, help="The fault hoped to go; any fault if not said.")
@click.option("--moulds", metavar="M01,M02", help="On which moulds; all if not said.")
@click.option("--withdraw", is_flag=True, help="Take the action of that name back.")
@shop_options
def command(
    what: str | None,
    since: str | None,
    hope: tuple[str, ...],
    moulds: str | None,
    withdraw: bool,
    store: str | None,
    knowledge_file: str | None,
    as_json: bool,
) -> None:
    """Write down WHAT was changed, so that every month says whether it worked; alone, list them."""
    if what is None and (withdraw or since or hope or moulds):
        raise click.UsageError("Say in a few words what was changed.")
    from analytics.shop.safekeeping import store_for_a_look

    where = store_for_a_look(store) if what is None else store
    with open_shop(where, knowledge_file, make=what is None) as shop:
        if what is None:
            _tell(shop.actions(), shop.month().actions if shop.months() else (), as_json)
        elif withdraw:
            shop.withdraw_action(what)
            _say({"action": what, "withdrawn": True}, f'"{what}" is taken back.', as_json)
        else:
            named = moulds.split(",") if moulds else ()
            kept = shop.add_action(what, since, hope, named)
            _say(_plain(kept), f"Written down: {_words(kept)}.", as_json)


def _say(answer: object, sentence: str, as_json: bool) -> None:
    if as_json:
        print_json(answer)
    else:
        click.echo(sentence)


def _tell(actions: tuple[Action, ...], followed: tuple[Followed, ...], as_json: bool) -> None:
    found = {one.name: one for one in followed}
    if as_json:
        rows = [{**_plain(one), **_verdict(found.get(one.name))} for one in actions]
        print_json({"actions": rows})
        return
    if not actions:
        text.para("No action is written down yet. See laylog action --help.")
    for one in actions:
        text.title(one.name)
        text.para(f"{_words(one)}.")
        follow = found.get(one.name)
        text.para(follow.text if follow else "No part was made since.")
        if follow and follow.together:
            text.labelled("changed at the same time:", ", ".join(follow.together), 2)


def _plain(action: Action) -> dict[str, object]:
    return {
        "action": action.name,
        "since": action.since.isoformat(),
        "hope": list(action.hope),
        "moulds": list(action.moulds),
    }


def _verdict(follow: Followed | None) -> dict[str, object]:
    if follow is None:
        return {"verdict": "not yet", "needed": None, "text": None}
    return {"verdict": follow.verdict, "needed": follow.needed, "text": follow.text}


def _words(action: Action) -> str:
    hope = f", hoping for less {' or '.join(action.hope)}" if action.hope else ""
    where = f", on {', '.join(action.moulds)}" if action.moulds else ""
    return f"{action.name}, since {action.since}{hope}{where}"
