"""What the terminal shows: addresses, the fingerprint to compare, and codes to scan. None of it goes into a log."""

from collections.abc import Sequence
from textwrap import wrap

from app.phone.authority import Authority
from app.phone.code import half_blocks
from app.phone.helper_page import at, name_of
from app.phone.names import Place
from app.phone.private_names import Address

_WIDTH = 80


def on_the_network(
    authority: Authority | None, place: Place, addresses: Sequence[Address], trouble: str | None, *, coloured: bool
) -> str:
    """What `serve --lan` says. `authority` is None with a certificate of one's own; `trouble` is why the name is not
    announced.
    """
    others = [at(one, place.port, "https") for one in addresses]
    lines = [f"The garage is at  {place.origin}/"]
    lines += [f"             also  {one}/" for one in others]
    if trouble:
        lines += ["", *wrap(trouble, _WIDTH)]
    if authority is not None:
        lines += ["", *_helper(authority, place, addresses, coloured=coloured)]
    lines += [
        "",
        "To pair a phone or a browser, type in another terminal:  witnessmark link",
        "Ctrl-C stops the garage.",
    ]
    return "\n".join(lines)


def link_shown(link: str, *, coloured: bool) -> str:
    """What `witnessmark link` says for a device that is somewhere else."""
    code = half_blocks(link, coloured=coloured)
    return f"{code}\n\nOpen this on the device to pair. It is good once, for five minutes:\n{link}"


def link_here(link: str) -> str:
    """What `serve` and `witnessmark link` say for a browser on this machine: a code would help nobody."""
    return f"To pair a browser on this machine, open this in it. It is good once, for five minutes:\n{link}"


def _helper(authority: Authority, place: Place, addresses: Sequence[Address], *, coloured: bool) -> list[str]:
    # By address, not by name: a phone may not find names yet, and once it holds the name to https it would try that.
    if not addresses:
        return wrap("This machine has no address on a home network at present, so no phone can reach it yet.", _WIDTH)
    page = f"{at(addresses[0], place.helper_port, 'http')}/"
    groups = authority.fingerprint.split()
    prints = ["    " + "  ".join(groups[start : start + 4]) for start in range(0, len(groups), 4)]
    return [
        "For a phone that has never been here: scan this, and follow the page it opens.",
        "",
        half_blocks(page, coloured=coloured),
        "",
        f"The helper page is at  {page}",
        f"“{name_of(authority)}” must show this SHA-256 fingerprint on the phone:",
        *prints,
    ]
