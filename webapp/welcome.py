"""What `serve` prints once it answers: where it is; for the network a QR, and what comes next."""

import io
import sys

from webapp import lan
from webapp.settings import Settings
from webapp.stages.workshop import only_loopback

# White on black whatever the terminal's own colours are: readers want the code dark on light.
WHITE_ON_BLACK, AS_BEFORE = "\x1b[97;40m", "\x1b[0m"


def say(settings: Settings, labels_lead_to: str) -> None:
    """Print where the app is; `labels_lead_to` is the address in the codes on labels."""
    here = f"http://{settings.host}:{settings.port}/"
    if not settings.lan:
        print(f"Loomwright is at {here}", flush=True)
        return
    there = f"http://{settings.lan}:{settings.port}/"
    print(f"Loomwright is at {there}, and on this computer at {here}")
    print(qr_lines(there, coloured=sys.stdout.isatty()))
    print(
        "To pair a tablet: log in as an owner, open Settings, Devices, make a code, and scan it "
        "with the tablet."
    )
    if only_loopback(labels_lead_to):
        print(
            "Codes on labels still lead to this computer alone: enter "
            f"{there.rstrip('/')} under Settings."
        )
    others = [address for address in lan.own_addresses() if address != settings.lan]
    if others:
        print(f"This computer is also at {', '.join(others)}: `--lan ADDRESS` chooses another one.")
    print(
        "What is sent is not encrypted: only for a network that you trust, with guests kept off "
        "it.",
        flush=True,
    )


def qr_lines(address: str, *, coloured: bool) -> str:
    """The address as a QR, two rows to a line; "" where the terminal has no blocks to draw it."""
    # Imported here: it is slow to read, and nobody waits for it without --lan.
    import segno

    drawn = io.StringIO()
    segno.make(address, error="l", micro=False).terminal(out=drawn, compact=True)
    lines = drawn.getvalue().splitlines()
    try:
        drawn.getvalue().encode(sys.stdout.encoding or "ascii")
    except UnicodeEncodeError:
        return ""
    if coloured:
        lines = [f"{WHITE_ON_BLACK}{line}{AS_BEFORE}" for line in lines]
    return "\n".join(lines)
