"""The furniture of invented sheets: features, notes, cautions, dimensions, packing, in four languages.

Comes in: a language and part names. Goes out: blocks around the tables that matter.
Does not hold ratings: dimension and packing tables are there to be told apart from ratings.
"""

from __future__ import annotations

from collections.abc import Sequence

from sample_tables.generate.blocks import Block, Bullets, Cell, Grid, Heading, Text, cells

FICTITIOUS = {
    "en": "Fictitious vendor and parts, made to test table reading. No such product exists.",
    "de": "Erfundener Hersteller, erfundene Bauteile zum Testen. Es gibt kein solches Produkt.",
    "zh": "虚构的厂商与元件,仅用于测试。不存在此产品。",
    "zh-Hant": "虛構的廠商與元件，僅供測試。並無此產品。",
    "ja": "架空のメーカーと部品です。試験用であり、実在しません。",
}
FEATURES = {
    "en": (
        "Features",
        (
            "Resets after the fault is removed and the part has cooled",
            "Low profile, halogen free",
            "For secondary circuits: ports, battery packs, small motors",
        ),
    ),
    "de": (
        "Merkmale",
        (
            "Stellt sich nach Abkühlung von selbst zurück",
            "Halogenfrei, bleifrei lötbar",
            "Für Akkupacks, Schnittstellen und Kleinmotoren",
        ),
    ),
    "zh": ("特点", ("故障排除并冷却后可自恢复", "低高度,无卤素", "适用于接口、电池组和小型电机")),
    "zh-Hant": ("特點", ("故障排除並冷卻後可自行恢復", "低高度、無鹵素", "適用於介面、電池組與小型馬達")),
    "ja": (
        "特長",
        ("故障が除かれ冷えると自己復帰", "低背、ハロゲンフリー", "ポート、電池パック、小型モータ用"),
    ),
}
CAUTIONS = {
    "en": (
        "Cautions",
        "The part limits a current, it does not break it: voltage may remain on the circuit. "
        "It may reset by itself and start what it feeds. Operation above the ratings can cause "
        "arcing or flame. "
        "Do not pot, press or clean with silicone. Test every design in its own housing.",
    ),
    "de": (
        "Hinweise",
        "Das Bauteil begrenzt den Strom und trennt nicht. Es kann sich von selbst zurückstellen. "
        "Betrieb über den Grenzwerten kann zu Lichtbogen oder Brand führen.",
    ),
    "zh": ("注意事项", "本元件只限制电流,并不切断电路。可能自行恢复。超出额定值使用可能产生电弧或火焰。"),
    "zh-Hant": (
        "注意事項",
        "本元件只限制電流，並不切斷電路。可能自行恢復。超出額定值使用可能產生電弧或火焰。",
    ),
    "ja": (
        "注意事項",
        "本部品は電流を制限しますが、遮断はしません。自己復帰することがあります。定格を超える使用はアークや発火の恐れがあります。",
    ),
}


def opening(lang: str = "en") -> tuple[Block, ...]:
    """Title of the features and their lines."""
    title, lines = FEATURES[lang]
    return Heading(title), Bullets(lines)


def closing(lang: str = "en") -> tuple[Block, ...]:
    """The cautions."""
    title, text = CAUTIONS[lang]
    return Heading(title), Text(text, small=True)


def dimensions(names: Sequence[str], rules: str = "full") -> tuple[Block, ...]:
    """A table of lengths in mm that looks much like a ratings table."""
    head = (
        (Cell("Part", down=2), Cell("A", 2), Cell("B", 2), Cell("C", 2)),
        cells("Min.", "Max.", "Min.", "Max.", "Min.", "Max."),
    )
    body = tuple(
        cells(name, f"{3.0 + k * 0.2:.2f}", f"{3.4 + k * 0.2:.2f}", "1.50", "1.80", "0.35", "0.85")
        for k, name in enumerate(names)
    )
    return Heading("Dimensions (mm)"), Grid(head, body, rules)


def packing(names: Sequence[str], rules: str = "full") -> tuple[Block, ...]:
    """A table of reel quantities."""
    body = tuple(cells(name, str(4000 - 500 * (k % 5)), "12", "178") for k, name in enumerate(names))
    head = (cells("Part", "Quantity per reel", "Tape width (mm)", "Reel (mm)"),)
    return Heading("Packing"), Grid(head, body, rules)


def test_notes(reference_c: int) -> Text:
    """What the symbols mean."""
    return Text(
        f"I_{{hold}}: largest current carried without tripping in still air at {reference_c} °C. "
        "I_{trip}: smallest current that trips in the end, same ambient. V_{max}: largest voltage "
        "across the tripped "
        "part. I_{max}: largest fault current at V_{max}. P_{d}: power in the tripped state. R_{min}: least "
        "resistance as delivered. R_{1max}: largest resistance one hour after a trip.",
        small=True,
    )
