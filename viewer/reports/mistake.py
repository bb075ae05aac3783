"""A mistake explained in the terminal, and as plain data."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches
from typing import Any

from geometry.assembly import Assembly
from geometry.checks.section import Amount
from geometry.errors import refused
from geometry.mistakes.mistake import Mistake, Study
from geometry.mistakes.shown import shown_places
from geometry.units import System
from viewer.cautions import AS_ASSUMED, LINES
from viewer.reports.tables import cell_text
from viewer.terminal import Terminal

RESTS = "All of this rests on the assumed values as they stand; `fullturn check` says how far it may be otherwise."

RECORDED = "The build record shows it here: wrong is as recorded, right is the same engine with it put right."
NOT_RECORDED = "The build record does not show it here: it is put into the engine as recorded."


def listing(assembly: Assembly, known: Sequence[Mistake]) -> str:
    """One line for each mistake; those that this engine cannot have say why, those that a record shows say where."""
    lines = []
    for mistake in known:
        line = f"{mistake.key:26}{mistake.title}"
        shown = shown_places(assembly, mistake)
        if shown:
            word = "main bearing" if mistake.where == "main" else "bore"
            line += f" (the build record shows it in {word} {', '.join(map(str, shown))})"
        if not mistake.places(assembly):
            why = mistake.refuse(assembly, 1 if mistake.where == "main" else assembly.layout.bores[0].bore)
            line += f" (not in this engine: {why})"
        lines.append(line)
    return "\n".join(lines)


def listing_as_json(assembly: Assembly, known: Sequence[Mistake]) -> list[dict[str, Any]]:
    """Every mistake and where in this engine it can be made."""
    return [
        {
            "mistake": m.key, "title": m.title, "where": m.where, "places": list(m.places(assembly)),
            "recorded": list(shown_places(assembly, m)),
        }
        for m in known
    ]  # fmt: skip


def find(text: str, known: Sequence[Mistake]) -> Mistake:
    """The mistake of this name.

    Raises
    ------
    InputError
        When there is none; the nearest name is offered.
    """
    keys = {mistake.key: mistake for mistake in known}
    wanted = text.strip().lower().replace("-", "_").replace(" ", "_")
    if wanted in keys:
        return keys[wanted]
    titles = {mistake.title.replace(" ", "_"): mistake for mistake in known}
    near = get_close_matches(wanted, [*keys, *titles], 1, 0.5)
    right = (
        f'did you mean "{(keys | titles)[near[0]].key}"?' if near else "see fullturn explain ENGINE --list"
    )
    raise refused("", "mistake", f'no mistake is called "{text}"', right)


def place_of(mistake: Mistake, assembly: Assembly, bore: int | None, main: int | None) -> int:
    """The bore or main bearing to show it in.

    Raises
    ------
    InputError
        When the number is not there, or the mistake cannot be made there.
    """
    option, given = ("--main", main) if mistake.where == "main" else ("--bore", bore)
    other, wrongly = ("--bore", bore) if mistake.where == "main" else ("--main", main)
    if wrongly is not None:
        raise refused("", other, f"{mistake.title} counts by {option[2:]}s", f"write {option} {wrongly}")
    if mistake.where == "main":
        numbers = list(range(1, len(assembly.layout.main_x_mm) + 1))
    else:
        numbers = sorted(site.bore for site in assembly.layout.bores)
    if given is not None and given not in numbers:
        known = ", ".join(map(str, numbers))
        raise refused(
            "",
            option,
            f"there is no {'main bearing' if option == '--main' else 'bore'} {given}",
            f"one of {known}",
        )
    places = mistake.places(assembly)
    if given in places:
        return int(given)
    if given is None and places:
        return places[0]
    why = mistake.refuse(assembly, given if given is not None else numbers[0])
    raise refused(
        "", mistake.key, f"cannot be made in this engine: {why}", "see fullturn explain ENGINE --list"
    )


def answer(mistake: Mistake, study: Study, place: int, recorded: bool | None = None) -> dict[str, Any]:
    """Plain numbers in house units; ``recorded``: whether a build record shows it, None without one."""

    def plain(cell: Any) -> Any:
        return round(cell.value, 6) if isinstance(cell, Amount) else cell

    sign = study.signature
    return ({} if recorded is None else {"recorded": recorded}) | {
        "mistake": mistake.key, "title": mistake.title, mistake.where: place, "different": mistake.different,
        "rows": [
            {key: plain(cell) for key, cell in row.items()} | {"dimension": _dimension(row)} for row in study.rows
        ],
        "does": study.does, "felt": study.felt, "look_for": study.look_for, "remedy": study.remedy,
        "signature": {
            "bound": sign.bound, "heavy": sign.heavy, "period_deg": sign.period_deg,
            "tight": [
                {"start_deg": round(a.start_deg, 3), "end_deg": round(a.end_deg, 3), "bite_mm": round(a.bite_mm, 4)}
                for a in sign.tight
            ],
            "clicks_deg": [round(angle, 3) for angle in sign.clicks_deg],
            "side_play_mm": {str(bore): round(left, 4) for bore, left in sign.side_play_mm.items()},
            "top_shift_deg": round(sign.top_shift_deg, 4), "top_shift_mm": round(sign.top_shift_mm, 4),
            "when_hot": sign.when_hot, "seen_only": sign.seen_only, "with_head": sign.with_head,
            "running": sorted(sign.running), "scores_pin": sign.scores_pin,
        },
        "spot": {
            "crank_deg": round(study.spot.crank_deg, 3), "view": study.spot.view_name,
            "bodies": list(study.spot.bodies),
            "from_mm": study.spot.from_mm, "to_mm": study.spot.to_mm, "text": study.spot.text,
            "severity": study.spot.severity,
        },
    }  # fmt: skip


def _dimension(row: Any) -> str | None:
    return next((cell.dimension for cell in row.values() if isinstance(cell, Amount)), None)


def print_study(
    engine: str, mistake: Mistake, study: Study, place: int, system: System, assumed: str = "",
    recorded: bool | None = None,
) -> None:  # fmt: skip
    """Numbers, one plain paragraph, and what to do.

    Parameters
    ----------
    assumed : how many values of the engine are assumed, in words; empty where none is
    recorded : whether a build record shows it; None where there is no record
    """
    out = Terminal()
    if assumed:
        out.say(assumed)
    where = "main bearing" if mistake.where == "main" else "bore"
    out.say(f"{engine}: {mistake.title}, {where} {place}", style="bold")
    out.say(mistake.different)
    if recorded is not None:
        out.say(RECORDED if recorded else NOT_RECORDED)
    out.say("")
    rows = []
    for row in study.rows:
        keys = ("what", "right", "wrong", "limit", "verdict", "limit_source")
        cells = [cell_text(row[key], system) for key in keys]
        cells = ["" if cell == "-" and k > 2 else cell for k, cell in enumerate(cells)]
        if assumed and cells[4]:
            cells[4] += AS_ASSUMED
        rows.append((cells, "bold red" if row["severity"] == "stop" else ""))
    out.table(("", "right", "wrong", "limit", "verdict", "source of the limit"), rows)
    if assumed:
        out.say(f"  {RESTS}", style="dim")
    out.say("", study.does, "")
    for head, text in (("Felt", study.felt), ("Look", study.look_for), ("Put right", study.remedy)):
        out.say_headed(f"{head:10}", text)
    out.say("")
    out.say(*LINES, style="dim")
