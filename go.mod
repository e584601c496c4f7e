module example.org/lickwright

go 1.26.0

require (
	github.com/beevik/etree v1.8.1
	github.com/sergi/go-diff v1.4.0
	github.com/spf13/cobra v1.10.2
	github.com/spf13/pflag v1.0.9
	github.com/stretchr/testify v1.12.1
	gitlab.com/gomidi/midi/v2 v2.3.16
	go.yaml.in/yaml/v3 v3.0.6
	golang.org/x/image v0.48.0
	golang.org/x/text v0.44.0
)

require (
	github.com/inconshreveable/mousetrap v1.1.0 // indirect
	golang.org/x/sys v0.50.0 // indirect
)
