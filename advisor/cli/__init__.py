"""The commands: parse words, call one function, print."""
