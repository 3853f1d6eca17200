"""Numbers in words, as papers ask for them: English and French, whole, with decimals, as money.

English is British: "one thousand and seventy". French keeps to the traditional spelling,
with hyphens only below a hundred: "mille soixante-dix", "vingt et un", "deux cents". Both from
memory; the spelling of 1990 would put hyphens everywhere.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import Enum
from types import MappingProxyType

LARGEST = 10**12 - 1


class Language(Enum):
    """A language that totals are written in."""

    ENGLISH = "en"
    FRENCH = "fr"


@dataclass(frozen=True, slots=True)
class Noun:
    """What is counted, one and many in both languages, and its smaller hundredth part, if any."""

    english: tuple[str, str]
    french: tuple[str, str]
    smaller: tuple[str, str, str, str] | None = None


_CENTS = ("cent", "cents", "centime", "centimes")
# Names from memory (ISO 4217 gives the codes); any other currency is called by its code.
CURRENCIES = MappingProxyType(
    {
        "AUD": Noun(
            ("Australian dollar", "Australian dollars"),
            ("dollar australien", "dollars australiens"),
            ("cent", "cents", "cent", "cents"),
        ),
        "CAD": Noun(
            ("Canadian dollar", "Canadian dollars"),
            ("dollar canadien", "dollars canadiens"),
            ("cent", "cents", "cent", "cents"),
        ),
        "CHF": Noun(
            ("Swiss franc", "Swiss francs"),
            ("franc suisse", "francs suisses"),
            ("centime", "centimes", "centime", "centimes"),
        ),
        "EUR": Noun(("euro", "euros"), ("euro", "euros"), _CENTS),
        "GBP": Noun(
            ("pound sterling", "pounds sterling"),
            ("livre sterling", "livres sterling"),
            ("penny", "pence", "penny", "pence"),
        ),
        "JPY": Noun(("yen", "yen"), ("yen", "yens")),
        "USD": Noun(
            ("US dollar", "US dollars"),
            ("dollar américain", "dollars américains"),
            ("cent", "cents", "cent", "cents"),
        ),
    }
)
# Currencies without a hundredth part (ISO 4217, from memory).
WHOLE_ONLY = frozenset(
    {"BIF", "CLP", "ISK", "JPY", "KRW", "PYG", "RWF", "UGX", "VND", "XAF", "XOF"}
)
ITEMS = Noun(("item", "items"), ("article", "articles"))
PIECES = Noun(("piece", "pieces"), ("pièce", "pièces"))
KILOGRAMS = Noun(("kilogram", "kilograms"), ("kilogramme", "kilogrammes"))
GRAMS = Noun(("gram", "grams"), ("gramme", "grammes"))

_ONES = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
]
_TENS = ["-", "-", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_UNITS = [
    "zéro",
    "un",
    "deux",
    "trois",
    "quatre",
    "cinq",
    "six",
    "sept",
    "huit",
    "neuf",
    "dix",
    "onze",
    "douze",
    "treize",
    "quatorze",
    "quinze",
    "seize",
    "dix-sept",
    "dix-huit",
    "dix-neuf",
]
_DIZAINES = ["-", "-", "vingt", "trente", "quarante", "cinquante", "soixante"]


def in_words(number: int, language: Language) -> str:
    """A whole number from 0 to LARGEST in words; ValueError beyond."""
    if not 0 <= number <= LARGEST:
        raise ValueError(f"{number} is not from 0 to {LARGEST}")
    return _english(number) if language is Language.ENGLISH else _french(number)


def counted(number: int, noun: Noun, language: Language) -> str:
    """A whole number of things: "three items", "un million d'articles"."""
    one, many = noun.english if language is Language.ENGLISH else noun.french
    if language is Language.ENGLISH:
        return f"{_english(number)} {one if number == 1 else many}"
    # French: below two is one; a number that ends in million or milliard takes "de"
    words = _feminine(_french(number), noun)
    called = one if number < 2 else many
    if number and number % 10**6 == 0:
        return f"{words} d'{called}" if called[0] in "aeiouéy" else f"{words} de {called}"
    return f"{words} {called}"


def measured(amount: Decimal, noun: Noun, language: Language) -> str:
    """An amount with decimals, these digit by digit: "thirteen point two kilograms".

    ValueError for one below 0.
    """
    whole, _, digits = f"{amount:f}".partition(".")
    digits = digits.rstrip("0")
    if not digits:
        return counted(int(whole), noun, language)
    ones = _ONES if language is Language.ENGLISH else _UNITS
    point = "point" if language is Language.ENGLISH else "virgule"
    one, many = noun.english if language is Language.ENGLISH else noun.french
    called = one if language is Language.FRENCH and amount < 2 else many
    spoken = " ".join(ones[int(digit)] for digit in digits)
    return f"{in_words(int(whole), language)} {point} {spoken} {called}"


def money(hundredths: int, currency: str, language: Language) -> str:
    """An amount of money: "one thousand and seventy euros and fifty cents".

    Without a name for the hundredth part they are written as a fraction: "and 50/100".
    """
    noun = CURRENCIES.get(currency, Noun((currency, currency), (currency, currency)))
    whole, rest = divmod(hundredths, 100)
    words = counted(whole, noun, language)
    if not rest:
        return words
    link = "and" if language is Language.ENGLISH else "et"
    if noun.smaller is None:
        return f"{words} {link} {rest:02}/100"
    en_one, en_many, fr_one, fr_many = noun.smaller
    return f"{words} {link} {counted(rest, Noun((en_one, en_many), (fr_one, fr_many)), language)}"


def _english(number: int) -> str:
    if number < 20:
        return _ONES[number]
    if number < 100:
        tens, ones = divmod(number, 10)
        return _TENS[tens] + (f"-{_ONES[ones]}" if ones else "")
    if number < 1000:
        hundreds, rest = divmod(number, 100)
        head = f"{_ONES[hundreds]} hundred"
        return f"{head} and {_english(rest)}" if rest else head
    parts = []
    for size, name in ((10**9, "billion"), (10**6, "million"), (1000, "thousand")):
        many, number = divmod(number, size)
        if many:
            parts.append(f"{_english(many)} {name}")
    if number:
        parts.append(f"and {_english(number)}" if number < 100 else _english(number))
    return " ".join(parts)


def _french(number: int) -> str:
    if number < 1000:
        return _french_below_thousand(number)
    parts = []
    for size, name in ((10**9, "milliard"), (10**6, "million")):
        many, number = divmod(number, size)
        if many:
            parts.append(f"{_french_below_thousand(many)} {name}{'s' if many > 1 else ''}")
    thousands, number = divmod(number, 1000)
    if thousands == 1:
        parts.append("mille")
    elif thousands:
        # before "mille", which is no noun, neither vingt nor cent takes its s
        parts.append(f"{_french_below_thousand(thousands, final=False)} mille")
    if number:
        parts.append(_french_below_thousand(number))
    return " ".join(parts)


def _french_below_thousand(number: int, *, final: bool = True) -> str:
    """``final``: nothing but a noun follows, so that quatre-vingts and deux cents have an s."""
    hundreds, rest = divmod(number, 100)
    if not hundreds:
        return _french_below_hundred(rest, final=final)
    head = "cent" if hundreds == 1 else f"{_UNITS[hundreds]} cent"
    if rest:
        return f"{head} {_french_below_hundred(rest, final=final)}"
    return f"{head}s" if hundreds > 1 and final else head


def _french_below_hundred(number: int, *, final: bool) -> str:
    if number < 20:
        return _UNITS[number]
    tens, ones = divmod(number, 10)
    if tens >= 8:
        if number == 80:
            return "quatre-vingts" if final else "quatre-vingt"
        return f"quatre-vingt-{_UNITS[number - 80]}"
    if tens == 7:
        return "soixante et onze" if ones == 1 else f"soixante-{_UNITS[number - 60]}"
    if ones == 1:
        return f"{_DIZAINES[tens]} et un"
    return _DIZAINES[tens] + (f"-{_UNITS[ones]}" if ones else "")


_OF_WOMEN = frozenset({"pièce", "livre sterling"})


def _feminine(words: str, noun: Noun) -> str:
    """ "un" becomes "une" before a feminine noun, not before mille or million."""
    last = words.rsplit(" ", 1)[-1].rsplit("-", 1)[-1]
    return f"{words}e" if noun.french[0] in _OF_WOMEN and last == "un" else words
