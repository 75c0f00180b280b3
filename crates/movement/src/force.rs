//! Rail that is held: the force in it, how far its ends breathe.
//!
//! SI throughout: newtons, metres, pascals; `stiffness` is Young's modulus times area, in newtons. Strain is what the rail
//! would have grown past its base, had it been free; positive presses.

/// Force in a rail that is held fast: `N = E·A·ε`, newtons.
pub fn restrained_force(stiffness: f64, strain: f64) -> f64 {
    stiffness * strain
}

/// Over what length from a free end a long rail moves, where its fastenings hold it with `grip` newtons per metre:
/// `L_b = N/r`. Infinite where nothing grips.
pub fn breathing_length(force: f64, grip: f64) -> f64 {
    force.abs() / grip
}

/// How far the free end of a long rail moves: `ε·L_b/2`.
pub fn free_end_movement(strain: f64, breathing_length: f64) -> f64 {
    strain * breathing_length / 2.0
}

/// How far the free end of a rail moves whose still point lies `distance` away: `ε·d − r·d²/(2·E·A)`, and no more than
/// [`free_end_movement`] once the rail is longer than it breathes. Keeps the signs of strain and distance.
pub fn end_movement(strain: f64, distance: f64, grip: f64, stiffness: f64) -> f64 {
    let far = distance.abs();
    let breathing = breathing_length(restrained_force(stiffness, strain), grip);
    let size = if far < breathing {
        strain.abs() * far - grip * far * far / (2.0 * stiffness)
    } else {
        free_end_movement(strain.abs(), breathing)
    };
    size * strain.signum() * distance.signum()
}

/// The force at the still point of a rail whose free end lies `distance` away: what its fastenings add up to, and no more
/// than holds it fast.
pub fn force_at_anchor(strain: f64, distance: f64, grip: f64, stiffness: f64) -> f64 {
    let held = restrained_force(stiffness, strain);
    held.signum() * held.abs().min(grip * distance.abs())
}

/// What is left of a strain where a gap of `width` over `distance` of rail has to close first.
pub fn strain_past_closing(strain: f64, width: f64, distance: f64) -> f64 {
    if distance <= 0.0 { 0.0 } else { (strain - width / distance).max(0.0) }
}
