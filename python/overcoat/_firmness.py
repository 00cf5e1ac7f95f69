"""How firm the first place is, in the sentences that the command and the page print."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from overcoat._core import Ranking


def firmness_lines(ranking: Ranking) -> list[str]:
    """Whether the first build is truly first, and what to measure next; nothing where all are blocked."""
    from overcoat._core import percent_in_words

    shares = ranking.truly_first()
    if len(shares) < 2:
        return []
    first, likeliest = shares[0], max(shares, key=lambda share: share.probability)
    line = (
        "If all that is doubtful were known, the first build would still be first with a probability of "
        f"{percent_in_words(first.probability)}"
    )
    if likeliest.build != first.build:
        line += f"; likeliest is then {likeliest.name} ({percent_in_words(likeliest.probability)})"
    return [f"{line}.", f"Measure next: {ranking.what_to_measure().sentence}."]
