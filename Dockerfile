# Stage 1 builds the client and one static program; Go alone is needed.
FROM golang:1.26-bookworm AS build
WORKDIR /src
COPY go.mod go.sum ./
RUN go mod download
COPY . .
RUN go generate ./web
RUN CGO_ENABLED=0 go build -trimpath -ldflags="-s -w" -o /out/sideport ./server
RUN mkdir /out/data

# Stage 2 holds the program and an empty data directory, nothing else.
# By itself it answers the loopback address alone, so without TLS or a proxy the
# container shares the host's network: docker run --network=host. On a network
# it needs -addr, -origin and -tls-cert with -tls-key, or -behind-proxy, and a
# health check that asks the same way (docs/operations.md).
FROM scratch
COPY --from=build /out/sideport /sideport
COPY --from=build --chown=65532:65532 /out/data /data
USER 65532:65532
VOLUME /data
HEALTHCHECK --interval=30s --timeout=3s CMD ["/sideport", "health"]
ENTRYPOINT ["/sideport"]
CMD ["-data", "/data"]
