"""This machine in the workshop's network: its addresses, its names, the one to be reached at."""

import fcntl
import ipaddress
import socket
import struct

from webapp.problems import Problem

# Linux: the address of a network interface, by name (netdevice(7)).
SIOCGIFADDR = 0x8915
# Kept for documentation (RFC 5737): asking for the way there sends nothing.
FAR_AWAY = ("192.0.2.1", 9)


def choose(asked: str) -> str:
    """The address to listen at: the one asked for, else the one that leads out of this machine.

    Raises:
        Problem: it is no address for this, there is none, or there are several to choose from.
    """
    if asked:
        return _fitting(asked)
    here = own_addresses()
    outward = _outward_address()
    if outward:
        return _fitting(outward)
    if len(here) == 1:
        return _fitting(here[0])
    if here:
        listed = " or ".join(f"`--lan {address}`" for address in here)
        raise Problem(f"This computer has several addresses; say which one is meant: {listed}.")
    raise Problem(
        "This computer has no address in a network: connect it to the workshop's network, "
        "or name the address with `--lan ADDRESS`."
    )


def _fitting(asked: str) -> str:
    try:
        address = ipaddress.IPv4Address(asked)
    except ValueError:
        raise Problem(
            f"--lan takes an address of this computer, such as 192.168.1.20, not {asked!r}."
        ) from None
    if address.is_unspecified or address.is_multicast or asked == "255.255.255.255":
        raise Problem(f"{asked} stands for many addresses: name the one that the tablets use.")
    if address.is_global:
        raise Problem(
            f"{asked} is reached from the whole internet, and what is sent there can be read on "
            "the way: choose an address in the workshop's own network."
        )
    return str(address)


def own_addresses() -> tuple[str, ...]:
    """The IPv4 addresses of this machine that others in a network may know."""
    found = (_address_of(name) for _number, name in socket.if_nameindex())
    return tuple(
        dict.fromkeys(
            address
            for address in found
            if address and not ipaddress.IPv4Address(address).is_loopback
        )
    )


def _address_of(interface: str) -> str:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            asked = struct.pack("256s", interface.encode()[:15])
            answer = fcntl.ioctl(probe.fileno(), SIOCGIFADDR, asked)
        except OSError:
            return ""
    return socket.inet_ntoa(answer[20:24])


def _outward_address() -> str:
    """The address that this machine sends from, by its default route; "" without one."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(FAR_AWAY)
        except OSError:
            return ""
        return str(probe.getsockname()[0])


def machine_names() -> tuple[str, ...]:
    """The names that this machine is asked for by: its own, and the one of local discovery."""
    name = socket.gethostname().lower().removesuffix(".local")
    short = name.partition(".")[0]
    return tuple(dict.fromkeys((name, short, f"{short}.local"))) if short else ()
