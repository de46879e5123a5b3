//! What a person sets for the page as a whole.

use super::keep::Keep;
use super::shelf::aside_key;
use serde::{Deserialize, Serialize};
use strungwell_workshop::records::Extra;
use strungwell_workshop::units::Units;

/// The ground that the drawings stand on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Ground {
    /// As the machine is set.
    #[default]
    Auto,
    /// Paper.
    Day,
    /// Dark.
    Night,
}

impl Ground {
    /// Every ground: its word in records and its label.
    pub(crate) const ALL: [(Self, &'static str, &'static str); 3] = [
        (Self::Auto, "auto", "As the machine"),
        (Self::Day, "day", "Paper"),
        (Self::Night, "night", "Dark"),
    ];

    /// Its word in records and styles.
    pub(crate) fn word(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|row| row.0 == self)
            .map_or("auto", |row| row.1)
    }
}

/// The settings: the same for the person's own records and for the demo shop.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub(crate) struct Settings {
    /// The units that figures are shown in.
    pub units: Units,
    /// The ground.
    pub ground: Ground,
    /// What another version set, kept.
    #[serde(flatten)]
    pub extra: Extra,
}

/// The key of the settings.
pub(crate) const KEY: &str = "strungwell.settings";

/// Reads the settings. What cannot be read is copied aside before anything is written over it, and the usual values stand.
pub(crate) fn load(keep: &Keep) -> Settings {
    let Some(text) = keep.read(KEY) else {
        return Settings::default();
    };
    serde_json::from_str(&text).unwrap_or_else(|_| {
        keep.write(&aside_key("settings"), &text);
        keep.forget(KEY);
        Settings::default()
    })
}

/// Keeps the settings.
pub(crate) fn save(keep: &Keep, settings: &Settings) {
    keep.write(KEY, &serde_json::to_string(settings).unwrap_or_default());
}

#[cfg(test)]
mod tests {
    use super::super::keep::tests::TestDrawer;
    use super::super::route::Space;
    use super::super::shelf;
    use super::*;
    use strungwell_workshop::units::LengthUnit;

    #[test]
    fn settings_come_back_and_another_version_s_are_kept() {
        let keep = Keep::new(Box::new(TestDrawer::default()));
        keep.write(
            KEY,
            r#"{"units":{"length":"inch","force":"lbf"},"sound":"off"}"#,
        );
        let settings = load(&keep);
        assert_eq!(settings.units.length, LengthUnit::Inch);
        save(&keep, &settings);
        assert!(keep.read(KEY).unwrap().contains("sound"));
        assert_eq!(load(&keep), settings);
    }

    #[test]
    fn settings_that_cannot_be_read_are_set_aside_and_named() {
        let keep = Keep::new(Box::new(TestDrawer::default()));
        keep.write(KEY, "{\"units\": 5}");
        assert_eq!(load(&keep), Settings::default());
        let asides = shelf::load(&keep, Space::Own).asides;
        assert_eq!(asides.len(), 1);
        assert_eq!(asides[0].text, "{\"units\": 5}");
        assert!(asides[0].why.contains("settings"));
    }
}
