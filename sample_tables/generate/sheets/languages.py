"""Sheets in German (decimal commas), simplified Chinese and Japanese."""

from __future__ import annotations

from sample_tables.generate.blocks import Cell, Grid, Heading, Look, Sheet, Text, cells
from sample_tables.generate.columns import Column, once_each, ratio_entries, table_entries
from sample_tables.generate.curves import parts_to_curves
from sample_tables.generate.physics import RATIOS, Part, Series, series_to_parts
from sample_tables.generate.tables import (
    AMPS,
    HOLD,
    POWER,
    R1_MAX,
    R_MAX,
    R_MIN,
    TEST,
    TIME,
    TRIP,
    VOLTS,
    ambient_columns,
    body_rows,
    derating_grid,
    ratio_grid,
)
from sample_tables.generate.words import closing, opening


def with_comma(_part: Part, _column: Column, text: str) -> str:
    """The number with a decimal comma."""
    return text.replace(".", ",")


def zibelkamp() -> Sheet:
    """German headings, decimal commas."""
    parts = series_to_parts(
        Series(
            "ZKP {code}",
            ("0.20", "0.31", "0.45", "0.63", "0.85", "1.15", "1.60"),
            ("60",),
            ("40",),
            "lead20",
            heat=0.3,
        )
    )
    columns, derating = (HOLD, TRIP, VOLTS, AMPS, TEST, TIME, POWER, R_MIN, R1_MAX), ambient_columns("lead20")
    head = (
        (
            Cell("Typ", down=2),
            Cell("Haltestrom|I_{h} [A]", down=2),
            Cell("Auslösestrom|I_{a} [A]", down=2),
            Cell("Max. Spannung|U_{max} [V]", down=2),
            Cell("Max. Strom|I_{max} [A]", down=2),
            Cell("Max. Auslösezeit", 2),
            Cell("Verlustleistung|typ. [W]", down=2),
            Cell("Widerstand [Ω]", 2),
        ),
        cells("bei [A]", "[s]", "R_{min}", "R_{1max}"),
    )
    return Sheet(
        "zibelkamp_zkp",
        "typst",
        "Zibelkamp Bauteile",
        "ZKP bedrahtete rückstellende Sicherungselemente",
        "German headings, decimal commas, part numbers with a space",
        (
            *opening("de"),
            Heading("Kennwerte bei 20 °C, ruhende Luft"),
            Grid(head, body_rows(parts, columns, with_comma), "horizontal"),
            Heading("Haltestrom (A) in Abhängigkeit von der Umgebungstemperatur"),
            derating_grid(parts, derating, "Typ", "Umgebungstemperatur", with_comma, rules="horizontal"),
            Text(
                "R_{min}: kleinster Widerstand bei Lieferung. R_{1max}: größter Widerstand eine "
                "Stunde nach Auslösung.",
                small=True,
            ),
            parts_to_curves(parts),
            *closing("de"),
        ),
        tuple(once_each(table_entries(parts, (*columns, *derating), 20))),
        Look("", colour="#1b3c1b", lang="de"),
    )


def qingque() -> Sheet:
    """Simplified Chinese headings."""
    parts = series_to_parts(
        Series(
            "QGQ{code}-{volts}",
            ("0.14", "0.20", "0.35", "0.50", "0.75", "1.10", "1.60"),
            ("60", "30", "30", "16", "16", "8", "8"),
            ("100",),
            "large23",
            "8",
            heat=0.26,
            power_w=0.75,
        )
    )
    columns = (HOLD, TRIP, VOLTS, AMPS, TEST, TIME, POWER, R_MIN, R1_MAX)
    head = (
        (
            Cell("型号", down=2),
            Cell("保持电流|I_{H} (A)", down=2),
            Cell("触发电流|I_{T} (A)", down=2),
            Cell("最大电压|V_{max} (V)", down=2),
            Cell("最大电流|I_{max} (A)", down=2),
            Cell("最大动作时间", 2),
            Cell("动作功率|P_{d typ} (W)", down=2),
            Cell("电阻", 2),
        ),
        cells("电流 (A)", "时间 (s)", "R_{min} (Ω)", "R_{1max} (Ω)"),
    )
    return Sheet(
        "qingque_qgq",
        "chromium",
        "青阙虚构电子",
        "QGQ 系列自恢复保险元件",
        "simplified Chinese headings, notes and cautions; one percent row",
        (
            *opening("zh"),
            Heading("电气特性(23 °C,静止空气)"),
            Grid(head, body_rows(parts, columns)),
            Text(
                "I_{H}:23 °C 静止空气中不动作的最大电流。I_{T}:23 °C 静止空气中动作的最小电流。"
                "R_{1max}:动作后一小时的最大电阻。",
                small=True,
            ),
            Heading("温度折减率"),
            ratio_grid([("保持电流比例", RATIOS["large23"])], "", "环境温度 (°C)"),
            parts_to_curves(parts),
            *closing("zh"),
        ),
        tuple(table_entries(parts, columns, 23) + ratio_entries(RATIOS["large23"])),
        Look("micro", colour="#8c1c13", lang="zh"),
    )


def kakuuyama() -> Sheet:
    """Japanese headings."""
    parts = series_to_parts(
        Series(
            "KYM-{code}",
            ("0.10", "0.17", "0.30", "0.45", "0.60", "0.90", "1.30"),
            ("30",),
            ("20",),
            "lead25",
            heat=0.29,
            power_w=0.9,
        )
    )
    columns, derating = (
        (HOLD, TRIP, VOLTS, AMPS, TEST, TIME, POWER, R_MIN, R_MAX, R1_MAX),
        ambient_columns("lead25", mark="℃"),
    )
    head = (
        (
            Cell("品番", down=2),
            Cell("保持電流|(A)", down=2),
            Cell("トリップ電流|(A)", down=2),
            Cell("最大電圧|(V)", down=2),
            Cell("最大電流|(A)", down=2),
            Cell("最大トリップ時間", 2),
            Cell("動作時消費電力|typ. (W)", down=2),
            Cell("抵抗値 (Ω)", 3),
        ),
        cells("電流 (A)", "時間 (s)", "R_{min}", "R_{max}", "R_{1max}"),
    )
    return Sheet(
        "kakuuyama_kym",
        "typst",
        "架空山電子",
        "KYMシリーズ 自己復帰型保護素子",
        "Japanese headings and notes; ℃ as one sign; derating in amps",
        (
            *opening("ja"),
            Heading("電気的特性 (25℃、静止空気中)"),
            Grid(head, body_rows(parts, columns), size=7),
            Text("R_{1max}: トリップ1時間後の最大抵抗値。", small=True),
            Heading("温度ディレーティング"),
            derating_grid(parts, derating, "品番", "周囲温度における保持電流 (A)"),
            parts_to_curves(parts),
            *closing("ja"),
        ),
        tuple(once_each(table_entries(parts, (*columns, *derating), 25))),
        Look("ja", colour="#20407a", lang="ja"),
    )


def xukong() -> Sheet:
    """Traditional Chinese headings; the percent row names its parts with a range."""
    parts = series_to_parts(
        Series(
            "XKL{code}",
            ("0.15", "0.25", "0.40", "0.55", "0.80", "1.10"),
            ("48",),
            ("40",),
            "lead20",
            heat=0.3,
        )
    )
    columns = (HOLD, TRIP, VOLTS, AMPS, TEST, TIME, POWER, R_MIN, R1_MAX)
    head = (
        (
            Cell("型號", down=2),
            Cell("保持電流|(A)", down=2),
            Cell("觸發電流|(A)", down=2),
            Cell("最大電壓|(V)", down=2),
            Cell("最大電流|(A)", down=2),
            Cell("最大動作時間", 2),
            Cell("動作功率|典型 (W)", down=2),
            Cell("電阻", 2),
        ),
        cells("電流 (A)", "時間 (s)", "R_{min} (Ω)", "R_{1max} (Ω)"),
    )
    names = [part.name for part in parts]
    rows = [(f"{names[0]} ~ {names[-1]}", RATIOS["lead20"])]
    return Sheet(
        "xukong_xkl",
        "libreoffice",
        "虛空島電子",
        "XKL 系列自恢復保險元件",
        "traditional Chinese headings; one percent row limited to a range of parts",
        (
            *opening("zh-Hant"),
            Heading("電氣特性（20 °C，靜止空氣）"),
            Grid(head, body_rows(parts, columns)),
            Text("R_{1max}：動作後一小時的最大電阻。", small=True),
            Heading("溫度折減率"),
            ratio_grid(rows, "型號", "環境溫度 (°C)"),
            *closing("zh-Hant"),
        ),
        tuple(table_entries(parts, columns, 20) + ratio_entries(RATIOS["lead20"], names)),
        Look("zh-hant", colour="#7b241c", lang="zh-Hant"),
    )


SHEETS = (zibelkamp, qingque, kakuuyama, xukong)
