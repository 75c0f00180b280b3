fn main() { divan::main(); }
