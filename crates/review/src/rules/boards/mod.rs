//! Boards that come apart: joints and wires over their edges, and plugs.

pub(super) mod joint_across_boards;
pub(super) mod plug_overloaded;
pub(super) mod wire_across_boards;

use plan::Plan;

/// "board `loop`", or "the rest of the layout".
fn board_words(plan: &Plan, board: Option<usize>) -> String {
    match board {
        Some(board) => format!("board `{}`", plan.board[board].name.value),
        None => "the rest of the layout".to_owned(),
    }
}
