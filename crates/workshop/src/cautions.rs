//! What can hurt at this work, said once where it matters: common practice, from memory. It defers to local codes, to the maker's
//! own words and to licensed practice.

/// Where strings are put on and taken off.
pub const WIRE: &str = "Bring new strings up slowly, with your face away from them and your eyes protected: a string that breaks \
    whips. The cut ends of wire and of wound strings are sharp and fly when they are cut; hold both ends, and turn in what stays.";

/// Where slots, saddles, boards and frets are filed and sanded.
pub const DUST: &str = "Dust of bone, shell and some woods harms lungs, eyes and skin. Work it wet or under suction, with a mask \
    made for fine dust and your eyes protected, and sweep nothing dry. Local rules for dust come before this.";

/// Where a bridge bears too much and may have to come off.
pub const BRIDGE: &str = "Lifting a bridge takes heat and thin blades: hot tools burn and scorch, steam scalds, a blade that slips \
    cuts, and the top can tear. Finishes and their solvents burn, and their vapour harms: open air, no flame, gloves, and what the \
    label and the local codes say. Who has not been taught it gives it to someone who has, licensed where that is asked for.";

/// Where woods are named, and where an instrument is handed over.
pub const BORDER: &str = "Some woods, shell and bone may not cross a border without papers. Before it travels, check the rules in \
    force there and here.";
