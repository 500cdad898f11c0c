//! Settings ↔ host parameters: every setting of the line is one parameter with
//! the same id, range, words and default.
//!
//! Hosts know values as positions between 0 and 1 in single precision. Numbers
//! that come from a host therefore lie on a grid of hundredths, and each is the
//! single-precision number nearest to its decimal: a preset's values survive
//! the way through a host bit for bit.

mod slot;
mod state;

pub use slot::Slot;
pub use state::{Kept, Loads, Remembered, SCHEMA, admit, from_text, to_text};

use crate::settings::{ALL, ActsOn, Hear, Id, Method, Order, Response, Settings, every_setting};
use atomic_float::AtomicF32;
use nice_plug::context::remote_controls::RemoteControlsPage;
use nice_plug::params::Params;
use slot::{Build, Hosted};
use std::sync::Mutex;
use std::sync::atomic::AtomicU8;

/// Makes the parameters of the one table of settings: a struct a group, a field a setting.
macro_rules! host_parameters {
    ($($group:ident $(= $title:literal)? {
        $($field:ident: $type:ty = $key:literal, $name:literal, $kind:expr, $about:literal;)*
    })*) => {
        $(
            /// The parameters of one group, in the order of the line.
            pub mod $group {
                use super::*;

                /// A parameter a setting.
                #[derive(Params)]
                pub struct Group {
                    $(
                        #[doc = concat!("`", $key, "`.")]
                        #[id = $key]
                        pub $field: <$type as Hosted>::Parameter,
                    )*
                }

                impl Group {
                    pub(super) fn new() -> Self {
                        Self { $($field: Build::build(Id::$field.setting()),)* }
                    }

                    /// Puts every parameter of the group on a page of a controller.
                    pub fn add_to(&self, page: &mut impl RemoteControlsPage) {
                        $(page.add_param(&self.$field);)*
                    }
                }
            }
        )*

        /// Every host parameter, and what is saved beside them.
        #[derive(Params)]
        pub struct HostParams {
            $(
                #[doc = concat!("Group `", stringify!($group), "`.")]
                #[nested $((group = $title))?]
                pub $group: $group::Group,
            )*
            /// Schema number, and what a newer version saved that this one does not know.
            #[persist = "kept"]
            pub loads: Loads,
            /// Zoom of the window, 0.75 to 3.
            #[persist = "zoom"]
            pub zoom: AtomicF32,
            /// Colours of the window: 0 day, 1 night, 2 high contrast.
            #[persist = "palette"]
            pub palette: AtomicU8,
            /// What the window shows.
            #[persist = "window"]
            pub window: Mutex<Remembered>,
        }

        impl HostParams {
            /// Every parameter at its default.
            pub fn new() -> Self {
                Self {
                    $($group: $group::Group::new(),)*
                    loads: Loads::default(),
                    zoom: AtomicF32::new(1.0),
                    palette: AtomicU8::new(0),
                    window: Mutex::default(),
                }
            }

            /// The parameter of a setting.
            pub fn slot(&self, id: Id) -> &dyn Slot {
                match id {
                    $($(Id::$field => &self.$group.$field,)*)*
                }
            }
        }
    };
}

every_setting!(host_parameters);

impl HostParams {
    /// What the line is to do now, modulation by the host included. `[audio thread]`
    pub fn heard(&self) -> Settings {
        self.settings(|slot| slot.heard())
    }

    /// What is set, modulation by the host left out. `[main thread]`
    pub fn set(&self) -> Settings {
        self.settings(|slot| slot.set())
    }

    fn settings(&self, value: impl Fn(&dyn Slot) -> f32) -> Settings {
        let mut plain = [0.0; ALL.len()];
        for (plain, setting) in plain.iter_mut().zip(ALL) {
            *plain = value(self.slot(setting.id));
        }
        Settings::from_plain(plain)
    }
}

impl Default for HostParams {
    fn default() -> Self {
        Self::new()
    }
}
