"""The vocabulary: frozen objects that every stage takes or gives, without behaviour of a stage."""
