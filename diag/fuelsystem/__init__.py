"""The physics of one car's fuel system: what every gauge on it should read, healthy and with each fault."""
