package main

import (
	"github.com/spf13/cobra"
)

const convertLong = `Convert changes the format of music and keeps the music. The formats are tab
(plain text), degrees (plain text without a key), musicxml and mxl (compressed
MusicXML); written only are html (a sheet to print and hand out, with
--worksheet one to fill in), svg and png (pictures of the neck) and mid (sound
to play along with). The output's format is that of -o's extension or of --as.

A file that is converted to its own format comes out as it went in, byte for
byte. What the other format cannot hold is said on standard error.`

const convertExample = `  # a tab as MusicXML, for a notation program
  lickwright convert testdata/examples/amber-street.tab -o amber-street.musicxml

  # MusicXML as tab, to paste into a post
  lickwright convert --as tab testdata/examples/amber-street.musicxml

  # a lick as degrees, for a mail, and back to tab in another key
  lickwright convert --as degrees testdata/examples/amber-street.tab
  lickwright convert --as tab --key G testdata/examples/back-stairs.degrees

  # a sheet to print, and one to fill in with its answers
  lickwright convert testdata/examples/amber-street.tab -o amber-street.html
  lickwright convert --worksheet testdata/examples/amber-street.tab -o to-fill-in.html

  # a tab that does not say its tuning
  lickwright convert --as musicxml --tuning drop-d testdata/examples/lantern-riff.tab`

func newConvertCmd(a *app) *cobra.Command {
	j := &job{app: a}
	cmd := &cobra.Command{
		Use:     "convert [flags] [FILE...]",
		Short:   "Change the format, keep the music",
		Long:    convertLong,
		Example: convertExample,
		RunE:    func(_ *cobra.Command, args []string) error { return runConvert(j, args) },
	}
	j.read.add(cmd)
	j.write.add(cmd)
	j.write.addBatch(cmd)
	return cmd
}

func runConvert(j *job, paths []string) error {
	j.transform = func(in *input, say *collector) ([]result, error) {
		s, err := j.onlyParts(in)
		if err != nil {
			return nil, err
		}
		if s != in.doc.Score() {
			if f, err := j.outputFormat(in); err == nil && in.doc.Keeps(f.name) {
				return nil, &usageError{"--part takes parts out, which needs another format than the input's", "say --as"}
			}
		}
		none := 0
		p := promise{Of: in.name, Semitones: &none}
		if s != in.doc.Score() {
			p = promise{} // it has fewer parts
		}
		return []result{{score: s, promise: p}}, nil
	}
	return j.run(paths)
}
