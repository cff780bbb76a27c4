package org.openapitools.client;

/** Stands in for a generated class that needs jackson-datatype-jsr310: the contract has no dates. */
public class RFC3339JavaTimeModule extends com.fasterxml.jackson.databind.module.SimpleModule {
    private static final long serialVersionUID = 1L;
}
