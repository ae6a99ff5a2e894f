"""Names and addresses of this server: what is the machine itself, and what a browser may call it."""

from ipaddress import ip_address

from starlette.types import Scope


def is_loopback(host: str) -> bool:
    """Whether ``host`` (a name or an address, without port) can only be this machine."""
    name = host.strip("[]").casefold()
    if name == "localhost":
        return True
    try:
        address = ip_address(name)
    except ValueError:
        return False
    mapped = getattr(address, "ipv4_mapped", None)
    return (mapped or address).is_loopback


def host_name(authority: str) -> str:
    """The name in ``name[:port]``, in small letters; an IPv6 address loses its brackets."""
    text = authority.strip().casefold()
    if text.startswith("["):
        return text[1:].partition("]")[0]
    return text.partition(":")[0]


def same_authority(one: str, other: str) -> bool:
    """Whether two ``name[:port]`` are the same; the usual ports of the web may be left out."""
    return bool(one) and _without_usual_port(one) == _without_usual_port(other)


def _without_usual_port(authority: str) -> str:
    text = authority.strip().casefold()
    return text.removesuffix(":443").removesuffix(":80") if not text.endswith("]") else text


def reached_on_loopback(scope: Scope, public_host: str) -> bool:
    """Whether the request came to a loopback address and no proxy offers this server to others."""
    server = scope.get("server")
    if not server or not is_loopback(str(server[0])):
        return False
    return not public_host or is_loopback(host_name(public_host))
