//! Some tracks of a plan on boards that come apart, with plugs in all that runs over their edges.

use super::{Bus, GrownBoard, Model, Random};

/// Puts tracks on up to two boards, every other time on none.
pub(crate) fn part(model: &mut Model, random: &mut Random) {
    if random.once_in(2) {
        return;
    }
    let count = 1 + random.below(2);
    let mut boards = vec![GrownBoard::default(); count];
    for track in 0..model.tracks.len() {
        // Now and then nothing is left that lies on no board.
        let place = random.below(count + 1);
        if let Some(board) = boards.get_mut(place) {
            board.tracks.push(track);
        }
    }
    for mut board in boards.into_iter().filter(|board| !board.tracks.is_empty()) {
        model.parts.insert("board");
        board.rated = random.once_in(2);
        if random.once_in(2) {
            model.parts.insert("bus with a plug");
            let bus = model.buses.len();
            model.buses.push(Bus::Branch);
            board.bus = Some(bus);
            for &index in &board.tracks {
                let track = &mut model.tracks[index];
                if track.bus == 0 {
                    track.bus = bus;
                }
            }
        }
        model.boards.push(board);
    }
}
