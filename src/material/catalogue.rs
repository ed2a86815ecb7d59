//! All materials at hand: the embedded ones, and those of the user, which win.

use super::profile::{MaterialId, Profile, folded};
use super::read::read_profile;
use crate::strict::{Problem, nearest};
use crate::text::printable;
use serde::{Deserialize, Serialize};
use std::borrow::Cow;
use std::collections::BTreeMap;

/// The generic materials in the program, by id.
const EMBEDDED: [(&str, &str); 13] = [
    ("acrylic-paint", include_str!("../../profiles/acrylic-paint.toml")),
    ("clear-polyester", include_str!("../../profiles/clear-polyester.toml")),
    ("coating-epoxy", include_str!("../../profiles/coating-epoxy.toml")),
    ("deep-pour-epoxy", include_str!("../../profiles/deep-pour-epoxy.toml")),
    ("epoxy-putty", include_str!("../../profiles/epoxy-putty.toml")),
    ("fast-urethane", include_str!("../../profiles/fast-urethane.toml")),
    ("five-minute-epoxy", include_str!("../../profiles/five-minute-epoxy.toml")),
    ("platinum-silicone", include_str!("../../profiles/platinum-silicone.toml")),
    ("slow-epoxy", include_str!("../../profiles/slow-epoxy.toml")),
    ("solvent-spray-paint", include_str!("../../profiles/solvent-spray-paint.toml")),
    ("spray-varnish", include_str!("../../profiles/spray-varnish.toml")),
    ("tin-silicone", include_str!("../../profiles/tin-silicone.toml")),
    ("uv-resin", include_str!("../../profiles/uv-resin.toml")),
];

/// Identifies the exact text of a profile, so that a batch keeps the figures it was started with.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Fingerprint(pub String);

/// Where a profile was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Origin {
    /// Built into the program.
    Embedded,
    /// The path of a file of the user's, printable.
    File(String),
}

/// A material with the text it was read from.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    pub profile: Profile,
    pub origin: Origin,
    /// The file, byte for byte.
    pub source: Cow<'static, str>,
    pub fingerprint: Fingerprint,
}

/// No material has this name.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "'{given}' is no material here{} ('nightpour profiles' lists them all)",
    near.as_ref().map(|near| format!("; did you mean '{near}'?")).unwrap_or_default()
)]
pub struct UnknownMaterial {
    given: String,
    near: Option<MaterialId>,
}

/// Every material at hand, in the order of their ids.
#[derive(Debug, Clone, PartialEq)]
pub struct Catalogue {
    items: BTreeMap<MaterialId, Item>,
}

impl Catalogue {
    /// The materials built into the program.
    ///
    /// # Panics
    /// Never: the tests read every one of the files it is built from.
    #[expect(clippy::expect_used, reason = "the files are part of the program, and the tests read every one")]
    pub fn embedded() -> Self {
        let mut catalogue = Self { items: BTreeMap::new() };
        for (id, source) in EMBEDDED {
            let id = MaterialId::new(id).expect("an id of this list");
            catalogue.put(id, Origin::Embedded, source.into()).expect("an embedded profile");
        }
        catalogue
    }

    /// Adds a material from a file at `path`, or puts it in the place of the one with the same id. A bad file leaves
    /// the catalogue as it was. Returns the warnings.
    pub fn put_file(&mut self, id: MaterialId, path: &str, source: String) -> Result<Vec<Problem>, Vec<Problem>> {
        self.put(id, Origin::File(printable(path)), source.into())
    }

    fn put(&mut self, id: MaterialId, origin: Origin, source: Cow<'static, str>) -> Result<Vec<Problem>, Vec<Problem>> {
        let read = read_profile(id.clone(), &source)?;
        let fingerprint = fingerprint(&source);
        self.items.insert(id, Item { profile: read.value, origin, source, fingerprint });
        Ok(read.warnings)
    }

    pub fn get(&self, id: &MaterialId) -> Option<&Item> {
        self.items.get(id)
    }

    /// The material somebody typed, as [`MaterialId::meant`] takes it.
    pub fn find(&self, typed: &str) -> Result<&Item, UnknownMaterial> {
        MaterialId::meant(typed).ok().and_then(|id| self.items.get(&id)).ok_or_else(|| UnknownMaterial {
            given: printable(typed.trim()),
            near: nearest(&folded(typed), self.items.keys().map(MaterialId::as_str))
                .and_then(|near| MaterialId::new(near).ok()),
        })
    }

    /// All materials, in the order of their ids.
    pub fn iter(&self) -> impl Iterator<Item = &Item> {
        self.items.values()
    }
}

/// The fingerprint of a profile's exact text: 128-bit FNV-1a in hexadecimal, the same on every machine for good.
///
/// It only has to tell a person's own few hundred profile texts apart, where two alike by chance are out of the
/// question. It is no safeguard against somebody who makes two texts collide on purpose: all he would mislead is
/// his own notebook.
pub fn fingerprint(source: &str) -> Fingerprint {
    // Offset basis and prime: G. Fowler, L. C. Noll, K.-P. Vo, "The FNV Non-Cryptographic Hash Algorithm" (IETF).
    const OFFSET_BASIS: u128 = 0x6c62_272e_07bb_0142_62b8_2175_6295_c58d;
    const PRIME: u128 = 0x0000_0000_0100_0000_0000_0000_0000_013b;
    let hash = source.bytes().fold(OFFSET_BASIS, |hash, byte| (hash ^ u128::from(byte)).wrapping_mul(PRIME));
    Fingerprint(format!("{hash:032x}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn id(name: &str) -> MaterialId {
        MaterialId::new(name).unwrap()
    }

    #[test]
    fn every_embedded_profile_reads_without_problem_or_warning() {
        for (name, source) in EMBEDDED {
            let read = read_profile(id(name), source).unwrap_or_else(|problems| panic!("{name}: {problems:?}"));
            assert_eq!(read.warnings, [], "{name}");
            assert_eq!(fingerprint(source), Catalogue::embedded().get(&id(name)).unwrap().fingerprint);
        }
    }

    #[test]
    fn a_file_wins_and_a_broken_one_changes_nothing() {
        let mut catalogue = Catalogue::embedded();
        let mine = catalogue.find("uv-resin").unwrap().source.replace("UV resin", "My resin");
        assert_eq!(catalogue.put_file(id("uv-resin"), "my/\u{1b}uv.toml", mine.clone()), Ok(Vec::new()));
        let item = catalogue.find("UV resin").unwrap();
        assert_eq!(item.profile.name.as_str(), "My resin");
        assert_eq!((&item.origin, &*item.source), (&Origin::File("my/uv.toml".to_owned()), mine.as_str()));
        let before = catalogue.clone();
        assert!(catalogue.put_file(id("uv-resin"), "uv.toml", "name = 3".to_owned()).is_err());
        assert_eq!(catalogue, before);
        assert!(catalogue.put_file(id("a-new-one"), "n.toml", mine).is_ok());
        assert_eq!(catalogue.iter().next().unwrap().profile.id, id("a-new-one"), "ids in order");
    }

    #[test]
    fn a_near_miss_is_offered() {
        let error = Catalogue::embedded().find("clear-polyster").unwrap_err().to_string();
        assert!(error.contains("'clear-polyster' is no material here; did you mean 'clear-polyester'?"), "{error}");
        let error = Catalogue::embedded().find("concrete").unwrap_err().to_string();
        assert!(!error.contains("did you mean"), "{error}");
    }

    #[test]
    fn the_fingerprint_is_fnv_1a() {
        // Test vectors of the FNV authors, from memory; the empty text gives the offset basis by definition.
        assert_eq!(fingerprint("").0, "6c62272e07bb014262b821756295c58d");
        assert_eq!(fingerprint("a").0, "d228cb696f1a8caf78912b704e4a8964");
        assert_eq!(fingerprint("foobar").0, "343e1662793c64bf6f0d3597ba446f18");
    }
}
