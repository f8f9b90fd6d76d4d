"""The command line: what may be asked for, and what is asked."""

import argparse
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import NoReturn

from webapp.data_folder import default_data_dir
from webapp.problems import Problem

Before = Callable[[Sequence[str]], None]


def main(arguments: Sequence[str] | None = None, *, before: Before | None = None) -> int:
    """Do what the command line asks; `before` sees to what it needs first.

    Returns:
        The exit status: 2 when something is wrong that the person can put right.
    """
    given = list(sys.argv[1:] if arguments is None else arguments)
    try:
        asked = read(given)
        if before:
            before(given)
        return carry_out(asked)
    except Problem as problem:
        print(problem, file=sys.stderr)
        return 2
    except KeyboardInterrupt:
        return 130


def read(arguments: Sequence[str]) -> argparse.Namespace:
    """Read the command line. No command at all means `serve`.

    Raises:
        Problem: it makes no sense.
    """
    parser = _parser()
    asked, rest = parser.parse_known_args(arguments or ["serve"])
    if asked.command != "test" and rest:
        parser.error(f"{asked.command} does not know {rest[0]!r}")
    asked.rest = rest
    if asked.command == "serve":
        asked.port = _port(asked.port)
        if asked.password_file and asked.lan is None:
            raise Problem("--password-file goes with --lan: else no password is asked for.")
    if "data" in asked:
        asked.data = asked.data or default_data_dir(demo=asked.demo)
    return asked


def carry_out(asked: argparse.Namespace) -> int:
    """Hand over to the command's own module, which may need the environment."""
    if asked.command == "test":
        from webapp.launcher.checks import run_tests

        return run_tests(asked.rest, install_only=asked.install_only)
    if asked.command == "serve":
        from webapp import lan
        from webapp.serving import serve
        from webapp.settings import Settings

        address = "" if asked.lan is None else lan.choose(asked.lan)
        settings = Settings(data_dir=asked.data, port=asked.port, demo=asked.demo, lan=address)
        return serve(settings, asked.password_file)
    if asked.command == "bench":
        from webapp.bench.measures import run_all

        return run_all()

    from webapp import keeping

    if asked.command == "backup":
        return keeping.back_up(asked.data, asked.file)
    return keeping.bring_back(asked.file, asked.data)


def _port(text: str) -> int:
    port = int(text) if text.isascii() and text.isdigit() else 0
    if not 1 <= port <= 65535:
        raise Problem(f"--port takes a number from 1 to 65535, not {text!r}.")
    return port


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        raise Problem(f"{message[0].upper()}{message[1:]}; `--help` lists what there is.")


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(prog="loomwright", description="Quote, design, build and test wiring looms.")
    commands = parser.add_subparsers(dest="command", required=True, metavar="command")

    serve = commands.add_parser("serve", help="serve the pages to this machine's browser")
    serve.add_argument("--port", default="8000", help="port to listen at (8000)")
    serve.add_argument(
        "--lan",
        nargs="?",
        const="",
        metavar="ADDRESS",
        help="let paired tablets and people with a password in over the workshop's network, at "
        "this computer's address there; asks for an owner's password where none has one",
    )
    serve.add_argument(
        "--password-file",
        type=Path,
        metavar="FILE",
        help="with --lan: take the owner's first password from the first line of FILE, which only "
        "you may read, instead of asking (- is the standard input)",
    )
    _add_data_options(serve)

    backup = commands.add_parser("backup", help="copy the workshop's data and check the copy")
    backup.add_argument("file", nargs="?", type=Path, help="new file (one in the data folder)")
    _add_data_options(backup)

    restore = commands.add_parser("restore", help="put a backup in the place of the data")
    restore.add_argument("file", type=Path, help="the backup")
    _add_data_options(restore)

    commands.add_parser("bench", help="measure how fast the sums are, and print it")

    test = commands.add_parser("test", help="install what the tests need and run them by pytest")
    test.add_argument("--install-only", action="store_true", help="do not run them")
    return parser


def _add_data_options(command: argparse.ArgumentParser) -> None:
    command.add_argument("--data", type=Path, metavar="FOLDER", help="where the data is kept")
    command.add_argument("--demo", action="store_true", help="the invented demo workshop")
