//! Signs that look alike or stand for each other.

/// One code point for each sign: the ohm sign is Ω, the Greek mu is µ, the ordinal indicator is a degree sign.
pub(super) fn signs(text: &str) -> String {
    text.chars()
        .map(|sign| match sign {
            '\u{2126}' => 'Ω',
            '\u{03BC}' => 'µ',
            '\u{00BA}' => '°',
            other => other,
        })
        .collect()
}

/// One spelling for each unit: `ohm` and `ohms` are Ω, a leading `u` is µ.
pub(super) fn unit(text: &str) -> String {
    let unit = text.trim();
    let lower = unit.to_ascii_lowercase();
    let prefix = lower.strip_suffix("ohms").or_else(|| lower.strip_suffix("ohm")).map(str::len);
    // Lowering ASCII letters keeps every byte in its place.
    if let Some(prefix) = prefix.and_then(|length| unit.get(..length)) {
        return format!("{}Ω", prefix.trim_end());
    }
    match unit.strip_prefix('u') {
        Some(rest) => format!("µ{rest}"),
        None => unit.to_owned(),
    }
}
