//! What can hurt someone or spoil a lens: each process has its own cautions, and some hold for all.

/// A caution, in the order in which they are shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Caution {
    /// Local rules and trained people come first.
    AskFirst,
    /// Isopropanol and what else cleans.
    Solvents,
    /// Parting a helicoid.
    OpeningALens,
    /// Thorium in glass.
    OldGlass,
    /// The Sun through a lens.
    Sun,
    /// Blades.
    Knives,
    /// Film in a laser printer.
    LaserPrinter,
    /// PVC under a laser.
    PvcAndLasers,
    /// Paint, above all from a can.
    Paint,
    /// A running tool, chips and dust.
    Engraving,
}

impl Caution {
    /// Every caution.
    pub const ALL: [Caution; 10] = [
        Caution::AskFirst,
        Caution::Solvents,
        Caution::OpeningALens,
        Caution::OldGlass,
        Caution::Sun,
        Caution::Knives,
        Caution::LaserPrinter,
        Caution::PvcAndLasers,
        Caution::Paint,
        Caution::Engraving,
    ];

    /// Two or three words.
    pub fn heading(self) -> &'static str {
        match self {
            Caution::AskFirst => "Ask first",
            Caution::Solvents => "Solvents",
            Caution::OpeningALens => "Opening a lens",
            Caution::OldGlass => "Old glass",
            Caution::Sun => "The Sun",
            Caution::Knives => "Knives",
            Caution::LaserPrinter => "Laser printers",
            Caution::PvcAndLasers => "PVC and lasers",
            Caution::Paint => "Paint",
            Caution::Engraving => "Engraving",
        }
    }

    /// What can happen, and what to do.
    pub fn text(self) -> &'static str {
        match self {
            Caution::AskFirst => {
                "The rules of your workshop and country come before this sheet. Whoever has not yet opened a lens \
                 should leave that to a qualified technician, or learn it from one."
            }
            Caution::Solvents => {
                "Isopropanol catches fire easily, and its vapour creeps along the bench to a far spark. Open a \
                 window, keep flames and heaters away, wear gloves, put a little on the cloth and close the bottle."
            }
            Caution::OpeningALens => {
                "A helicoid often has several thread starts, and only one gives true focus. Before two threaded \
                 parts come apart, mark both where they part. Photograph every step; work over a towel, for balls \
                 and springs jump."
            }
            Caution::OldGlass => {
                "Some old glass holds thorium and is weakly radioactive. Handling the lens is of little concern; \
                 never grind, polish or break its glass."
            }
            Caution::Sun => {
                "Never look at the Sun through a lens: it blinds. Never leave a lens in sunlight without its caps: \
                 it starts fires."
            }
            Caution::Knives => {
                "Use a fresh blade and light strokes, cut away from yourself, keep the other hand out of the \
                 blade's way, and protect your eyes. Used blades go into a rigid box."
            }
            Caution::LaserPrinter => {
                "Put only film that is rated for laser printers into one: other plastics melt onto its hot rolls. \
                 No adhesive may touch the paper path."
            }
            Caution::PvcAndLasers => {
                "Never cut or engrave PVC vinyl with a laser, not even as a mask on a ring: hot PVC gives off \
                 hydrogen chloride, which harms the lungs and eats the machine."
            }
            Caution::Paint => {
                "Paints and primers give off vapour that burns and harms; spray cans most. Work outdoors or under \
                 extraction, without flames or sparks, with gloves; wear a respirator for solvent vapour where the \
                 label asks for one or the air does not move."
            }
            Caution::Engraving => {
                "Wear eye protection. Clamp the ring, never hold it; no gloves, loose sleeves or long hair near a \
                 turning tool. Take dust away by suction, do not blow or breathe it, and keep metal dust from \
                 sparks. A laser needs its own enclosure and eyewear."
            }
        }
    }
}

/// What holds for every process.
pub(super) const ALWAYS: [Caution; 5] =
    [Caution::AskFirst, Caution::Solvents, Caution::OpeningALens, Caution::OldGlass, Caution::Sun];
