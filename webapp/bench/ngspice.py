"""The same network through ngspice, a general circuit simulator that Debian carries."""

import re
import shutil
import subprocess
from dataclasses import dataclass
from itertools import chain
from pathlib import Path

from webapp.sizing.network import Load, Network, Wire
from webapp.sizing.network.places import ends

PROGRAM = "ngspice"
TIGHT = ".options reltol=1e-9 abstol=1e-14 vntol=1e-12 gmin=1e-15 itl1=500 numdgt=15"


# A diode that loses next to nothing of its own; what it is to lose stands beside it.
SHARP = "sharp"


class NoAnswer(Exception):
    """ngspice printed no operating point; what it did print is the message."""


@dataclass(frozen=True)
class Answer:
    """Node voltages against the return [V] and wire currents [A]."""

    nodes: dict[str, float]
    wires: dict[str, float]


def available() -> bool:
    """Whether ngspice is on this machine."""
    return shutil.which(PROGRAM) is not None


def netlist(network: Network, output: Path) -> str:
    """The network as ngspice reads it; the operating point goes to `output`."""
    number = _numbers(network)
    lines = ["a loom", TIGHT]
    for place, supply in enumerate(network.supplies):
        plus, minus = number[supply.positive], number[supply.negative]
        inner = f"s{place}" if supply.resistance_ohm else plus
        lines.append(f"V{place} {inner} {minus} DC {supply.voltage_v!r}")
        if supply.resistance_ohm:
            lines.append(f"RS{place} {inner} {plus} {supply.resistance_ohm!r}")
    for place, wire in enumerate(network.wires):
        start, end = number[wire.from_node], number[wire.to_node]
        if wire.forward_v > 0:
            lines += [
                f"VD{place} {start} a{place} DC {wire.forward_v!r}",
                f"DD{place} a{place} {_behind(place)} {SHARP}",
            ]
            start = _behind(place)
        lines.append(f"RW{place} {start} {end} {wire.resistance_ohm!r}")
    for place, load in enumerate(network.loads):
        lines.append(_load_line(place, load, number[load.from_node], number[load.to_node]))
    lines += [_nodeset(network, number), f".model {SHARP} D(is=1e-12 n=0.001)"]
    lines += [
        ".control",
        "set filetype=ascii",
        "op",
        f"write {output}",
        "quit",
        ".endc",
        ".end",
    ]
    return "\n".join(lines) + "\n"


def run(network: Network, folder: Path) -> Answer:
    """Solve the network by one ngspice process, with files in `folder`.

    Raises:
        NoAnswer: it did not come to an operating point. Its exit status is 0 even then.
    """
    source, output = write(network, folder)
    printed = launch(source)
    if not output.is_file():
        raise NoAnswer(printed)
    return read(network, output)


def write(network: Network, folder: Path) -> tuple[Path, Path]:
    """Write the netlist; returns it and the file that the operating point will go to."""
    source, output = folder / "loom.cir", folder / "loom.raw"
    output.unlink(missing_ok=True)
    source.write_text(netlist(network, output), encoding="utf-8")
    return source, output


def launch(source: Path) -> str:
    """Run ngspice on a netlist; returns what it printed."""
    command = [PROGRAM, "-b", "-n", str(source)]
    done = subprocess.run(command, check=False, capture_output=True, text=True, timeout=120)
    return done.stdout + done.stderr


def read(network: Network, output: Path) -> Answer:
    """The operating point that a run left behind.

    Raises:
        NoAnswer: the file is not what was expected.
    """
    text = output.read_text(encoding="utf-8")
    head, _, tail = text.partition("Values:\n")
    names = re.findall(r"^\s+\d+\s+(\S+)\s+\S+$", head.partition("Variables:\n")[2], re.MULTILINE)
    values = [float(word) for word in tail.split()[1:]]
    if not names or len(names) != len(values):
        raise NoAnswer(text)
    found = dict(zip(names, values, strict=True))
    number = _numbers(network)

    def _before(wire: Wire, place: int) -> float:
        """Volts before a wire's resistance: of a diode, behind what it loses."""
        return found[f"v({_behind(place)})"] if wire.forward_v > 0 else volts[wire.from_node]

    volts = {node: 0.0 if place == "0" else found[f"v({place})"] for node, place in number.items()}
    return Answer(
        nodes=volts,
        wires={
            wire.name: (_before(wire, place) - volts[wire.to_node]) / wire.resistance_ohm
            for place, wire in enumerate(network.wires)
        },
    )


def _behind(place: int) -> str:
    """The node between a diode and its resistance."""
    return f"d{place}"


def _load_line(place: int, load: Load, plus: str, minus: str) -> str:
    if load.current_a is not None:
        return f"I{place} {plus} {minus} DC {load.current_a!r}"
    if load.power_w is not None:
        return f"B{place} {plus} {minus} I={load.power_w!r}/v({plus},{minus})"
    return f"RL{place} {plus} {minus} {load.resistance_ohm!r}"


def _nodeset(network: Network, number: dict[str, str]) -> str:
    """Where ngspice starts: every load's feed at the first supply's voltage."""
    start = network.supplies[0].voltage_v
    feeds = {number[load.from_node] for load in network.loads if load.power_w is not None}
    return "\n".join(f".nodeset v({node})={start!r}" for node in sorted(feeds - {"0"}))


def _numbers(network: Network) -> dict[str, str]:
    """ngspice's own name for each node: the return is 0."""
    number = {network.return_node: "0"}
    for node in chain.from_iterable(ends(network)):
        number.setdefault(node, f"n{len(number)}")
    return number
