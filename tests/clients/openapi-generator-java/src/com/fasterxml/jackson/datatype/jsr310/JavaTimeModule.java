package com.fasterxml.jackson.datatype.jsr310;

/** Stands in for the one class of jackson-datatype-jsr310 that the client names: Debian has no package of it. */
public class JavaTimeModule extends com.fasterxml.jackson.databind.module.SimpleModule {
    private static final long serialVersionUID = 1L;
}
