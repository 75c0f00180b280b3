//! Lists one after another in one vector.

/// For each of `n` items a list of others, one after another in one vector.
#[derive(Debug, Clone)]
pub(crate) struct Lists {
    start: Vec<u32>,
    pub(crate) list: Vec<u32>,
}

impl Lists {
    /// The lists with `to` in the list of `from` for every pair `(from, to)`, in the order of the pairs.
    pub(crate) fn new(n: usize, pairs: impl Iterator<Item = (u32, u32)> + Clone) -> Lists {
        let mut start = vec![0; n + 2];
        for (from, _) in pairs.clone() {
            start[from as usize + 2] += 1;
        }
        for i in 2..n + 2 {
            start[i] += start[i - 1];
        }
        let mut list = vec![0; start[n + 1] as usize];
        for (from, to) in pairs {
            // The start of the next list moves up to where it belongs while this one is filled.
            let place = &mut start[from as usize + 1];
            list[*place as usize] = to;
            *place += 1;
        }
        Lists { start, list }
    }

    /// The list of one item.
    pub(crate) fn get(&self, item: usize) -> &[u32] {
        &self.list[self.start[item] as usize..self.start[item + 1] as usize]
    }
}
