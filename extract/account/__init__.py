"""The account: what became of every number printed on the pages that matter; none is lost without a word.

Door: `build.sheet_to_account`.

In reading order: `atoms` (every printed number with its place) → `fates` (which of them were read) → `blocks`
(what looks like a table, and its columns) → `reasons` (why the rest was not read; words in words.toml) →
`build`. Works on places alone and so serves any reader.
"""
