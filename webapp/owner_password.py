"""An owner's password, asked for in the terminal before anything is served to the network.

Whoever sits at this terminal owns the data folder, so nobody else is asked. A password that an
owner has already is left as it is; one that is forgotten is given anew under Settings, People,
with Loomwright started for this computer alone.
"""

import getpass
import stat
import sys
from collections.abc import Callable
from pathlib import Path

from sqlalchemy import Engine

from webapp.database import reading, writing
from webapp.problems import Problem
from webapp.stages import workshop
from webapp.stages.access import passwords
from webapp.stages.access.passwords import MayLogIn
from webapp.stages.refusals import Refused

MOST_TRIES = 5
STANDARD_INPUT = Path("-")


def see_to(engine: Engine, file: Path | None) -> None:
    """See that an owner can log in: ask for a password, or read it from `file`.

    Raises:
        Problem: there is nobody to ask, or what was given is not taken.
    """
    with reading(engine) as session:
        if not workshop.is_set_up(session):
            # Over the network the first-run page would be the first comer's.
            raise Problem(
                "This workshop is not set up yet: start once without `--lan`, fill in the first "
                "page, then start again with it."
            )
        if passwords.an_owner_has_one(session):
            return
        owners = passwords.owners(session)
    if file is not None:
        _keep(engine, _only_one(owners), _first_line(file))
    elif sys.stdin.isatty():
        _ask(engine, owners)
    else:
        raise Problem(
            "No owner has a password yet, and there is no terminal to ask for one in: start it "
            "in a terminal, or give the password with `--password-file FILE`."
        )


def _keep(engine: Engine, owner: MayLogIn, password: str, again: str | None = None) -> None:
    try:
        with writing(engine) as session:
            typed_again = password if again is None else again
            password_hash = passwords.hash_new(session, owner.id, password, typed_again)
            passwords.give(session, owner.id, password_hash)
    except Refused as refusal:
        raise Problem(refusal.sentence) from refusal


# --- in the terminal --------------------------------------------------------------------------


def _ask(
    engine: Engine,
    owners: tuple[MayLogIn, ...],
    ask: Callable[[str], str] = getpass.getpass,
) -> None:
    print(
        "Over the network everybody logs in, and no owner has a password yet. It takes at least "
        f"{passwords.LEAST_CHARACTERS} characters; what you type is not shown."
    )
    owner = _chosen(owners)
    for _ in range(MOST_TRIES):
        try:
            _keep(engine, owner, ask(f"Password for {owner.name}: "), ask("The same again: "))
        except Problem as problem:
            print(problem)
        except EOFError:
            break
        else:
            return
    raise Problem("Without an owner's password nothing is served to the network.")


def _chosen(owners: tuple[MayLogIn, ...]) -> MayLogIn:
    if len(owners) == 1:
        return owners[0]
    for number, owner in enumerate(owners, 1):
        print(f"  {number}  {owner.name}")
    for _ in range(MOST_TRIES):
        try:
            typed = input(f"Whose password is it? 1 to {len(owners)}: ").strip()
        except EOFError:
            break
        if typed in {str(number) for number in range(1, len(owners) + 1)}:
            return owners[int(typed) - 1]
    raise Problem("Without an owner's password nothing is served to the network.")


# --- from a file ------------------------------------------------------------------------------


def _only_one(owners: tuple[MayLogIn, ...]) -> MayLogIn:
    if len(owners) > 1:
        raise Problem(
            "There are several owners, and a file does not say whose password it holds: start in "
            "a terminal, or give one of them a password under Settings, People."
        )
    return owners[0]


def _first_line(file: Path) -> str:
    try:
        if file == STANDARD_INPUT:
            return sys.stdin.readline().rstrip("\r\n")
        _see_that_it_is_private(file)
        with file.open(encoding="utf-8") as opened:
            return opened.readline().rstrip("\r\n")
    except OSError as exc:
        raise Problem(f"{file} cannot be read ({exc.strerror}).") from exc
    except UnicodeDecodeError as exc:
        raise Problem(f"{file} is no text: its first line holds the password.") from exc


def _see_that_it_is_private(file: Path) -> None:
    mode = file.stat().st_mode
    if stat.S_ISREG(mode) and mode & (stat.S_IRWXG | stat.S_IRWXO):
        raise Problem(f"Others on this computer may read {file}: `chmod 600 {file}` first.")
