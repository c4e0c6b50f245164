"""`laylog trial`: a fair trial, planned, given out part by part, and read any day."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from analytics.cli import text
from analytics.cli.options import finish, open_shop, print_json, shop_options

if TYPE_CHECKING:
    from analytics.settling.trial_answer import Arm, TrialLook

ACTIONS = ("new", "assign", "look", "stop", "list")


@click.command(
    "trial",
    epilog='Example: laylog trial new wax "1" "3+" --field wax_coats --defect sticking',
)
@click.argument("action", type=click.Choice(ACTIONS))
@click.argument("name", required=False)
@click.argument("said", nargs=-1, metavar="[WAY_A WAY_B | PART]")
@click.option(
    "--defect", "defects", multiple=True, metavar="FAULT", help="The fault hoped to change."
)
@click.option(
    "--field", default="", help="Recorded field of the two ways, so the log can check them."
)
@click.option("--usual", type=click.FloatRange(0.1, 99), metavar="IN_100",
              help="Parts in 100 with the fault before; default: from your log.")  # fmt: skip
@click.option("--matters", type=click.FloatRange(0.1, 99), metavar="IN_100",
              help="Difference worth finding, parts in 100.")  # fmt: skip
@click.option("--mould", help="Mould of the part to be made.")
@click.option("--why", default="", help="Why the trial is stopped.")
@click.option("--seed", type=int, help="Draw from this number; default: a secret one.")
@shop_options
def command(
    action: str, name: str | None, said: tuple[str, ...], defects: tuple[str, ...], field: str,
    usual: float | None, matters: float | None, mould: str | None, why: str, seed: int | None,
    store: str | None, knowledge_file: str | None, as_json: bool,
) -> None:  # fmt: skip
    """Settle an argument by a fair trial: chance picks the way for each part.

    \b
    laylog trial new wax "1" "3+" --field wax_coats --defect sticking
    laylog trial assign wax B0431 --mould TL-1     which way is this part made?
    laylog trial look wax                          how does it stand? any day
    laylog trial stop wax --why "settled"
    laylog trial list
    """
    if action == "list":
        _list(store, knowledge_file, as_json)
        return
    if name is None:
        raise click.UsageError(f"Say the trial's name: laylog trial {action} NAME.")
    if action == "assign":
        _assign(name, _one(said), mould, store, knowledge_file, as_json)
        return
    with open_shop(store if action == "new" else _there(store), knowledge_file) as shop:
        if action == "new":
            found = shop.new_trial(
                name, *_two(said), defects=defects, seed=_drawn(seed), field=field,
                usual=_share(usual), matters=_share(matters),
            )  # fmt: skip
        elif action == "stop":
            found = shop.stop_trial(name, why)
        else:
            found = shop.look_at_trial(name)
    _show(found, as_json, planned=action == "new")
    finish(problems=found.verdict == "stop-harm", could_not=False)


def _there(store: str | None) -> str:
    """The store where there is one: only a new trial is a reason to make it."""
    from analytics.shop.safekeeping import store_for_a_look

    return store_for_a_look(store)


def _two(said: tuple[str, ...]) -> tuple[str, str]:
    if len(said) != 2:
        raise click.UsageError('Say two ways, such as "1" "3+" or "one coat" "three coats".')
    return said[0], said[1]


def _one(said: tuple[str, ...]) -> str:
    if len(said) != 1:
        raise click.UsageError("Say the number of the one part you are about to make.")
    return said[0]


def _share(in_hundred: float | None) -> float | None:
    return None if in_hundred is None else in_hundred / 100.0


def _drawn(seed: int | None) -> int:
    """The seed asked for, else one nobody can guess."""
    import secrets

    return secrets.randbits(32) if seed is None else abs(seed)


def _assign(
    name: str, part: str, mould: str | None, store: str | None, knowledge_file: str | None,
    as_json: bool,
) -> None:  # fmt: skip
    with open_shop(_there(store), knowledge_file) as shop:
        given = shop.assign(name, part, mould)
    if as_json:
        print_json(given.to_json())
        return
    text.echo(f"\nPart {given.part_id}: {given.said}", bold=True)
    again = "It was given this way before." if given.before else "Kept in the journal."
    text.para(f"{again} {text.count(given.parts_given, 'part')} given out so far.")
    text.para("Make it this way, whatever you think of it; write the result down as always.")


def _list(store: str | None, knowledge_file: str | None, as_json: bool) -> None:
    with open_shop(_there(store), knowledge_file) as shop:
        looks = [shop.look_at_trial(trial.name) for trial in shop.trials()]
    if as_json:
        print_json({"trials": [look.to_json() for look in looks]})
        return
    if not looks:
        text.echo("No trial yet. Plan one: laylog trial new NAME WAY_A WAY_B --defect FAULT.")
        return
    text.table(
        ("trial", "since", "parts", "verdict"),
        [(k.trial.name, k.trial.started, k.a.given + k.b.given, k.verdict) for k in looks],
    )


def _show(look: TrialLook, as_json: bool, *, planned: bool) -> None:
    if as_json:
        print_json(look.to_json())
        return
    show(look, planned=planned)


def show(look: TrialLook, *, planned: bool = False) -> None:
    """Print how the trial stands as text; its plan too where it is new."""
    trial = look.trial
    text.title(f"Trial {trial.name}: {trial.way('a')}, or {trial.way('b')}?")
    if planned:
        text.para(
            f"Usually {100 * trial.usual:.0f} in 100 parts have {look.title} "
            f"({trial.usual_from}). To find a difference of {100 * trial.matters:.0f} in 100 it "
            f"takes about {trial.parts} parts in all, both ways together; 8 in 10 such trials are "
            f"settled within {trial.most}."
        )
    text.para(look.sentence)
    text.echo()
    for arm in (look.a, look.b):
        _arm(arm)
    if look.waiting:
        text.para(f"{text.count(look.waiting, 'part')} without a result yet.")
    for heading, lines in (
        ("Stop:", look.harm),
        ("Know this:", look.warnings),
        ("What to do:", look.to_do),
        ("The rule for stopping:", look.stop_rule),
    ):
        if lines:
            text.echo(f"\n{heading}")
            text.items(lines)


def _arm(arm: Arm) -> None:
    share = 0.0 if arm.share is None else arm.share
    text.item(f"{text.bar(share)} {arm.faults} of {arm.results} with a result  {arm.said}")
