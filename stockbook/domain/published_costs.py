"""Published shares of what a cataract operation costs, to stand beside the site's own.

They are printed with their source, year and currency, to be read and never to be passed: what
counts as a supply differs from study to study.
"""

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from stockbook.domain.amounts import half_even, text_from_whole

FULL = "Drugs and supplies, of the cost of a case"
MAIN = "Lens, viscoelastic, tubing and pack, of supplies"


@dataclass(frozen=True, slots=True)
class PublishedShare:
    """A published share or range of shares, in thousandths."""

    what: str
    least: int
    most: int
    where: str
    """Country, year and currency, as far as the source's table gives them."""
    source: str

    @property
    def words(self) -> str:
        """The share as printed.

        >>> PublishedShare("", 240, 370, "", "").words, PublishedShare("", 344, 344, "", "").words
        ('24 to 37 %', '34.4 %')
        """
        ends = [text_from_whole(end, 1).removesuffix(".0") for end in (self.least, self.most)]
        return f"{' to '.join(dict.fromkeys(ends))} %"


PUBLISHED = (
    PublishedShare(
        FULL, 240, 370, "Zambia, three hospitals, USD of 2010",
        "Cost Eff Resour Alloc 2014;12:6 table 2",
    ),
    PublishedShare(FULL, 344, 344, "Canada, published 2021, CAD", "Healthcare Policy 2021;16(4)"),
    PublishedShare(
        MAIN, 850, 850, "published 2001, no currency given", "Outpatient Surgery July 2001"
    ),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class OwnShare:
    """What the named classes are of all that was used, in thousandths."""

    thousandths: int
    classes: tuple[str, ...]

    @property
    def words(self) -> str:
        """The share with the classes it counts."""
        return f"{text_from_whole(self.thousandths, 1)} % ({', '.join(self.classes)})"


def main_share(used: Mapping[str, int], classes: Collection[str]) -> OwnShare | None:
    """The share of these classes in what was used; none where nothing or none of them was.

    >>> main_share({"lens": 650, "viscoelastic": 200, "drugs": 150}, {"lens", "viscoelastic"}).words
    '85.0 % (lens, viscoelastic)'
    """
    whole = sum(used.values())
    own = {name: value for name, value in used.items() if name in classes}
    if whole <= 0 or not own:
        return None
    return OwnShare(half_even(1000 * sum(own.values()), whole), tuple(sorted(own)))
