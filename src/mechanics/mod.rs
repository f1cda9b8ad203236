//! Laws of strength that several stages share: moduli and strengths by direction to the grain, a tab as a beam, the cutting
//! force, a rigid part on springs.

mod beam;
mod load;
mod moduli;
mod springs;
mod strength;

pub use beam::{
    Beam, KAPPA, ROOTS, Roots, SAFETY_ACROSS, SAFETY_ALONG, SAFETY_SHEAR, Stiffness, TabForces,
    TabRatios, guided,
};
pub use load::{Load, load_factor};
pub use moduli::{Moduli, modulus_at};
pub use springs::{Frame, Springs, Vector3, dot};
pub use strength::{TabStrength, hankinson, line_angle, section_strength, tab_strength};
