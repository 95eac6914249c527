"""Money: a currency by its ISO 4217 code with that currency's own number of decimals."""

from dataclasses import dataclass

from stockbook.domain.amounts import text_from_whole, whole_from_text
from stockbook.errors import InputError

# ISO 4217 list one: every active national currency by number of decimals.
_BY_DECIMALS = {
    0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF",
    2: """AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BRL BSD BTN BWP BYN BZD CAD
    CDF CHF CNY COP CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ
    GYD HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL
    MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN NAD NGN NIO NOK NPR NZD PAB PEN PGK PHP PKR
    PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT
    TOP TRY TTD TWD TZS UAH USD UYU UZS VED VES WST XCD XCG YER ZAR ZMW ZWG""",
    3: "BHD IQD JOD KWD LYD OMR TND",
}
DECIMALS = {code: places for places, codes in _BY_DECIMALS.items() for code in codes.split()}


@dataclass(frozen=True)
class Currency:
    """A currency: its ISO 4217 code and how many decimals its minor unit has."""

    code: str
    decimals: int

    def minor(self, text: str, what: str = "price") -> int:
        """An amount of nothing or more, in minor units.

        >>> Currency("KWD", 3).minor("1.5")
        1500
        """
        amount = whole_from_text(text, self.decimals, what)
        if amount < 0:
            raise InputError(f"{what}: found {text!r}, wanted nothing or more.")
        return amount

    def text(self, amount: int) -> str:
        """An amount for people, with thousands set apart and all decimals.

        >>> Currency("INR", 2).text(123456789)
        '1,234,567.89'
        """
        plain = text_from_whole(amount, self.decimals)
        whole, dot, fraction = plain.partition(".")
        return f"{int(whole.lstrip('-')):,}".join(["-" if amount < 0 else "", dot + fraction])


def currency(code: str) -> Currency:
    """The currency of an ISO 4217 code.

    >>> currency("JPY")
    Currency(code='JPY', decimals=0)
    """
    clean = code.strip().upper()
    if clean not in DECIMALS:
        raise InputError(
            f"currency: found {code!r}, wanted a code of ISO 4217 such as INR, KES or USD."
        )
    return Currency(clean, DECIMALS[clean])
