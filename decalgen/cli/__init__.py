"""The commands as they are typed: thin, each calls one function of `commands` and prints what came of it."""
