"""`diagnose reckon moisture`: what moisture wood comes to in an air, and how a panel moves. Words in, a Sum out."""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterator

from diagnose import moisture, units
from diagnose.complaint import Complaint, shown, would_accept
from diagnose.sums import Figure, Remark, Sum

Air = tuple[float, float]


def add_to(parser: argparse.ArgumentParser) -> None:
    parser.description = (
        "The moisture that wood comes to in an air that stays so; how far a panel shrinks or swells from one air (or "
        "moisture) to another; whether wood of a measured moisture is ready for the room."
    )
    parser.epilog = "Example: diagnose reckon moisture --from 20C,40% --to 22C,70% --wood red_oak --width 600mm"
    parser.add_argument("temperature", nargs="?", metavar="TEMPERATURE", help="of the room, for instance 20C or 68F")
    parser.add_argument("humidity", nargs="?", metavar="HUMIDITY", help="relative humidity, for instance 65%%")
    parser.add_argument(
        "--from", dest="before", metavar="AIR", help="for instance 20C,40%%; or a moisture content: 9%%"
    )
    parser.add_argument("--to", dest="after", metavar="AIR", help="the same, of the other season (default: the room)")
    parser.add_argument("--wood", metavar="WOOD", help="by its name in the knowledge, for instance red_oak")
    parser.add_argument("--width", metavar="LENGTH", help="across the grain, for instance 600mm or 24in")
    parser.add_argument("--cut", default="flat", metavar="CUT", help="flat or plain (default), quarter or rift")
    parser.add_argument("--mc", metavar="MOISTURE", help="measured moisture content, for instance 9%%")


def reckon(chosen: argparse.Namespace) -> Sum:
    """Raises Complaint."""
    room = _room(chosen)
    before, after = _state(chosen.before, "--from"), _state(chosen.after, "--to")
    measured = units.parse(chosen.mc, "share", None, "--mc") if chosen.mc else None
    if room is None and before is None:
        raise Complaint(None, "there is no air to reckon with", "TEMPERATURE HUMIDITY, or --from AIR --to AIR")
    given: list[tuple[str, str]] = []
    figures: list[Figure] = []
    remarks: list[Remark] = []
    if room is not None:
        given.append(("room", _air_words(room)))
        figures.append(_emc("wood_moisture", "wood comes to", room))
        if before is None:  # where a panel is asked about, what is made elsewhere is beside the point
            remarks += _targets(moisture.emc(*room), measured is None)
        if measured is not None:
            given.append(("measured in the wood", units.show(measured, "share")))
            figures.append(_apart(measured, moisture.emc(*room)))
            remarks.append(_settled(measured, moisture.emc(*room)))
    elif measured is not None:
        raise Complaint(None, "--mc is compared with the air of a room", "TEMPERATURE HUMIDITY of the room")
    if before is None and (chosen.after or chosen.width or chosen.wood):
        raise Complaint(None, "how a panel moves needs what it comes from", "--from AIR or --from MOISTURE")
    if before is not None:
        after = after if after is not None else room
        if after is None:
            raise Complaint(None, "--from needs what it goes to", "--to AIR, or TEMPERATURE HUMIDITY of the room")
        _panel(chosen, before, after, given, figures, remarks)
    return Sum("Wood in this air", tuple(given), tuple(figures), tuple(remarks))


def parse_air(written: str, what: str) -> Air:
    """'20C,40%' as (C, share). Raises Complaint."""
    accepted = "a temperature and a humidity, for instance 20C,40%"
    if re.match(r"\s*-?\d+,\d", written):
        raise Complaint(None, f"{what}: {shown(written)} has a decimal comma", "use a point: 20.5C,40%")
    parts = [part for part in re.split(r"[,;/]", written) if part.strip()]
    if len(parts) != 2:
        raise Complaint(None, f"{what}: {shown(written)} is not the air of a room", accepted)
    temperature = units.parse(parts[0], "temperature", None, what)
    air = temperature, units.parse(parts[1], "share", None, what)
    _reckonable(temperature, what)
    return air


def wood_named(chosen: argparse.Namespace, written: str) -> moisture.Movement:
    """The figures of the wood that `written` means in the knowledge. Raises Complaint."""
    known = moisture.woods()
    name = written.strip().lower().replace(" ", "_").replace("-", "_")
    if name not in known:
        from diagnose.reckon_names import wood_id  # here, since names of the table need no knowledge

        name = wood_id(chosen, written)
    if name not in known:
        raise Complaint(
            None, f"there are no figures for how {shown(name)} moves", would_accept(name, known, "woods with figures")
        )
    return moisture.movement(name)


def _room(chosen: argparse.Namespace) -> Air | None:
    if chosen.temperature is None:
        return None
    if chosen.humidity is None:
        raise Complaint(None, "the room needs a humidity as well as a temperature", "for instance 20C 65%")
    temperature = units.parse(chosen.temperature, "temperature", None, "temperature")
    _reckonable(temperature, "temperature")
    return temperature, units.parse(chosen.humidity, "share", None, "humidity")


def _reckonable(temperature: float, what: str) -> None:
    if not moisture.within_table(temperature):
        raise Complaint(
            None,
            f"{what}: at {units.show(temperature, 'temperature')} the published formula was not checked",
            "a temperature between -1 and 60 C",
        )


def _state(written: str | None, what: str) -> Air | float | None:
    """An air, or a moisture content where one quantity alone is given."""
    if written is None:
        return None
    if re.fullmatch(r"\s*-?[\d.]+\s*%\s*", written):
        return units.parse(written, "share", None, what)
    return parse_air(written, what)


def _moisture(state: Air | float) -> float:
    return moisture.emc(*state) if isinstance(state, tuple) else state


def _air_words(air: Air) -> str:
    return f"{units.in_both(air[0], 'temperature')}, {units.show(air[1], 'share')}"


def _emc(name: str, says: str, air: Air) -> Figure:
    return Figure(name, says, round(moisture.emc(*air), 3), "share", moisture.FORMULA, moisture.SOURCE)


def _apart(measured: float, settled: float) -> Figure:
    return Figure(
        "apart",
        "measured over that",
        round((measured - settled) * 100, 1),
        "",
        "measured - EMC",
        "by definition",
        "% MC",
    )


def _targets(settled: float, moves: bool) -> Iterator[Remark]:
    """The room against what furniture is made for; `moves`: and what such furniture does here."""
    row, near = _table()["targets"]["furniture"], float(_table()["near_target"]["value"]) / 100
    low, high = (float(end) / 100 for end in row["band"])
    band = f"{low * 100:g} to {high * 100:g} % moisture"
    if low - 0.0005 <= settled <= high + 0.0005:
        says = f"That is within what is aimed at for furniture indoors, {band}."
        yield Remark("furniture", True, says, row["source"])
        return
    than, does = ("dry", "shrink") if settled < low else ("damp", "swell")
    if low - near <= settled <= high + near:
        says = f"That is a usual room, at the {than} end of what is aimed at for furniture indoors, {band}."
        yield Remark("furniture", True, says, row["source"])
        return
    than = {"dry": "drier", "damp": "damper"}[than]
    says = f"That is {than} than is aimed at for furniture indoors, {band}"
    says += f": what is made for that will {does} here." if moves else "."
    yield Remark("furniture", not moves, says, row["source"])


def _settled(measured: float, settled: float) -> Remark:
    row = _table()["apart"]
    apart = abs(measured - settled) * 100
    near, far = float(row["settled"]["value"]), float(row["wait"]["value"])
    if apart <= near:
        return Remark("ready", True, "The wood has settled to this room.", row["settled"]["source"])
    going = "swelling" if measured < settled else "shrinking"
    if apart <= far:
        says = (
            f"The wood is near to what it comes to here and still {going} a little; a few more days would do no harm."
        )
        return Remark("ready", True, says, row["wait"]["source"])
    says = f"Let the wood settle before it is finished: it is still {going} by {apart:.1f} % of moisture. Stack it on "
    says += "sticks in the room, weeks for boards of 25 mm, and measure again until it no longer changes."
    return Remark("ready", False, says, row["wait"]["source"])


def _panel(
    chosen: argparse.Namespace,
    before: Air | float,
    after: Air | float,
    given: list[tuple[str, str]],
    figures: list[Figure],
    remarks: list[Remark],
) -> None:
    """Adds what the two seasons do, and to a panel where wood and width are given."""
    for name, says, state in (("moisture_from", "from", before), ("moisture_to", "to", after)):
        words = _air_words(state) if isinstance(state, tuple) else f"{units.show(state, 'share')} moisture"
        given.append((says, words))
        if isinstance(state, tuple):
            figures.append(_emc(name, f"wood comes to ({says})", state))
    first, last = _moisture(before), _moisture(after)
    if not chosen.wood and not chosen.width:
        return
    if not (chosen.wood and chosen.width):
        raise Complaint(None, "a panel needs its wood and its width", "--wood red_oak --width 600mm")
    chosen.cut = moisture.ALSO_CUT.get(chosen.cut, chosen.cut)
    if chosen.cut not in moisture.CUTS:
        raise Complaint(None, f"--cut: {shown(chosen.cut)} is no cut", would_accept(chosen.cut, moisture.CUTS, "cuts"))
    wood = wood_named(chosen, chosen.wood)
    width = units.parse(chosen.width, "length", None, "--width")
    if width <= 0:
        raise Complaint(None, f"--width: {shown(chosen.width)} is no width", "more than nothing, for instance 600 mm")
    given.append(("panel", f"{wood.wood.replace('_', ' ')}, {chosen.cut} cut, {units.in_both(width, 'length')} wide"))
    change, formula = moisture.width_change(width, wood, chosen.cut, first, last)
    figures.append(Figure("change", "the panel changes by", change, "length", formula, wood.source))
    figures.append(
        Figure("change_share", "that is, of its width", change / width, "share", "change / width", "by definition")
    )
    remarks.extend(_moves(change, width, first, last, wood))


def _moves(change: float, width: float, first: float, last: float, wood: moisture.Movement) -> Iterator[Remark]:
    size = units.in_both(abs(change), "length", 2)
    if abs(change) < 0.0002:
        yield Remark("moves", True, "It hardly moves.", wood.source)
        return
    half = units.in_both(abs(change) / 2, "length", 2)
    if change > 0:
        says = f"It swells by {size}: leave it that much room. Held in its middle, it needs {half} on each side."
    else:
        says = (
            f"It shrinks by {size}: keep that much more of it hidden, in tongue or edge. Held in its middle, {half} of"
        )
        says += (
            " it comes out on each side; colour and finish the edges before it goes into a frame, or bare wood shows."
        )
    yield Remark("moves", abs(change) / width < 0.01, says, "common practice")
    saturated = float(_table()["fibre_saturation"]["value"]) / 100
    if max(first, last) > saturated:
        yield Remark("saturated", False, "Above about 30 % moisture wood moves no further.", moisture.SOURCE)
    says = "Boards differ from the average of their kind by a quarter and more. A coat slows the moving, it does not"
    says += " stop it. The figures for this wood are from memory." if wood.basis == "memory" else " stop it."
    yield Remark("average", True, says, "Wood Handbook FPL-GTR-282, chapter 4; share from memory")


def _table() -> dict:
    from diagnose.tables import table

    return table("wood_moisture")
