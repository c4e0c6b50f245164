"""`laylog compare`: one way or the other, on the shop's own log."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from analytics.cli import text
from analytics.cli.options import finish, open_shop, print_json, shop_options

if TYPE_CHECKING:
    from analytics.settling.answer import Comparison, Finding
    from analytics.shop import Shop

BAR_FULL = 0.4
"""The share a full bar stands for, unless one is bigger: most faults are rare."""


@click.command("compare", epilog='Example: laylog compare wax_coats "1" "3+" --defect sticking')
@click.argument("field", required=False, metavar="FIELD_OR_QUESTION")
@click.argument("ways", nargs=-1, metavar="[WAY_A WAY_B]")
@click.option("--defect", "defects", multiple=True, metavar="FAULT", help="The fault; repeatable.")
@click.option("--where", multiple=True, metavar="FIELD=WAY", help="Only these parts; repeatable.")
@click.option(
    "--matters", type=click.FloatRange(0.1, 50), metavar="IN_100",
    help="Smallest difference worth changing a habit for, parts in 100.",
)  # fmt: skip
@click.option("--list", "as_list", is_flag=True, help="The old arguments, ready to ask.")
@click.option("--fields", is_flag=True, help="The recorded fields two ways can be picked from.")
@shop_options
def command(
    field: str | None, ways: tuple[str, ...], defects: tuple[str, ...], where: tuple[str, ...],
    matters: float | None, as_list: bool, fields: bool, store: str | None,
    knowledge_file: str | None, as_json: bool,
) -> None:  # fmt: skip
    """Compare two ways of any recorded FIELD, or answer a ready-made question by its name.

    \b
    A way is a value or a range: "1", "3+", "under 12", "12 or more", "5 to 8",
    "drill or paddle", "not 2". Without ways, the two commonest are taken.
    """
    from analytics.shop.safekeeping import store_for_a_look

    with open_shop(store_for_a_look(store), knowledge_file) as shop:
        if as_list:
            _list(shop, as_json)
            return
        if fields:
            _fields(shop, as_json)
            return
        answer = _ask(shop, field, ways, defects, where, matters)
    if as_json:
        print_json(answer.to_json())
    else:
        show(answer)
    finish(problems=False, could_not=answer.verdict == "refused")


def _ask(
    shop: Shop, field: str | None, ways: tuple[str, ...], defects: tuple[str, ...],
    where: tuple[str, ...], matters: float | None,
) -> Comparison:  # fmt: skip
    from analytics.settling.ways import field_called

    apart = None if matters is None else matters / 100.0
    if field is None:
        raise click.UsageError(
            "Say a field and a fault, or a ready-made question (laylog compare --list)."
        )
    ready = {*shop.knowledge.questions, *(str(q.number) for q in shop.questions())}
    if field in ready and not ways and not defects:
        return shop.compare_question(field, matters=apart)
    if not defects:
        field_called(shop.jobs(), field)
        raise click.UsageError("Say the fault to compare by, such as --defect sticking.")
    return shop.compare(field, ways, defects=defects, where=_pairs(where), matters=apart)


def _pairs(where: tuple[str, ...]) -> dict[str, str]:
    pairs = [one.partition("=") for one in where]
    for name, equals, way in pairs:
        if not (equals and name.strip() and way.strip()):
            raise click.UsageError('--where wants FIELD=WAY, for example "air_c=under 18".')
    return {name.strip(): way.strip() for name, _, way in pairs}


def _list(shop: Shop, as_json: bool) -> None:
    questions = shop.questions()
    if as_json:
        print_json({"questions": [_plain(shop, q.id) for q in questions]})
        return
    text.echo("Old arguments, ready to ask:  laylog compare NAME\n")
    for one in questions:
        state = "refused: " if one.refused else "not from the log: " if one.otherwise else ""
        text.item(f"{one.title}  [{one.id}]", f"{one.number:>2}.")
        text.para(f"{state}{one.refused or one.otherwise or f'needs {one.least}'}", 6)


def _plain(shop: Shop, name: str) -> dict[str, object]:
    question = shop.knowledge.questions[name]
    return {**vars(question), "source": shop.knowledge.sources[question.source].text}


def _fields(shop: Shop, as_json: bool) -> None:
    from analytics.columns import column

    names = shop.fields_to_compare()
    if as_json:
        said = [(name, column(name)) for name in names]
        print_json({"fields": [{"field": n, "name": c.name, "unit": c.unit} for n, c in said]})
        return
    if not names:
        text.echo("The log has no filled-in field yet. Read a log in: laylog import FILE.")
        return
    text.table(("field", "name"), [(name, column(name).name) for name in names])


def show(answer: Comparison) -> None:
    """Print the comparison as text."""
    text.title(answer.title)
    text.para(answer.sentence)
    for finding in answer.findings:
        _picture(finding, answer)
    for finding in answer.findings[1:]:
        text.echo()
        text.para(finding.sentence)
    if answer.findings:
        _counted(answer)
    for heading, lines in (
        ("Differed as well:", tuple(tangle.text for tangle in answer.tangled)),
        ("What to do:", answer.to_do),
        ("Know this:", answer.warnings),
        ("What the log cannot know:", answer.cannot_know),
        ("Keep safe:", answer.cautions),
    ):
        if lines:
            text.echo(f"\n{heading}")
            text.items(lines)


def _picture(finding: Finding, answer: Comparison) -> None:
    """Both shares as bars, like with like."""
    if finding.adjusted is None or finding.a is None or finding.b is None:
        return
    shares = (finding.adjusted.share_a, finding.adjusted.share_b)
    full = max(BAR_FULL, *shares)
    text.echo(
        f"\n  {finding.title}, parts in 100 under like conditions (all parts: faults of parts)"
    )
    sides = ((answer.a.said, shares[0], finding.a), (answer.b.said, shares[1], finding.b))
    wide = max(len(said) for said, _, _ in sides)
    for said, share, crude in sides:
        bar = text.bar(share / full)
        text.echo(
            f"  {said:<{wide}}  {bar}  {100 * share:>3.0f}   ({crude.faults} of {crude.parts})"
        )


def _counted(answer: Comparison) -> None:
    held = ", ".join(answer.held)
    text.echo(f"\nCompared: {text.count(answer.compared, 'part')}, like with like ({held}).")
    if answer.where:
        text.para(f"Only parts with {answer.where}.", 2)
    if answer.out:
        text.echo("Left out:")
        text.items(f"{one.parts:,}: {one.why}" for one in answer.out)
