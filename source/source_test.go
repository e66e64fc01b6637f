package source

import (
	"strings"
	"testing"
	"testing/fstest"
)

func TestTheBibliographyCanBeRead(t *testing.T) {
	entries, err := load()
	if err != nil {
		t.Fatal(err)
	}
	for key, e := range entries {
		if strings.TrimSpace(e.Text) == "" {
			t.Errorf("%s says nothing", key)
		}
		if strings.ContainsAny(key, " \t") {
			t.Errorf("key %q has a blank in it", key)
		}
	}
	if len(entries) < 30 {
		t.Errorf("only %d entries", len(entries))
	}
}

func TestOneKeyCannotStandForTwoReferences(t *testing.T) {
	files := fstest.MapFS{
		"data/a.csv": {Data: []byte("key,kind,text\nk,published,One\n")},
		"data/b.csv": {Data: []byte("key,kind,text\nk,published,Two\n")},
	}
	if _, err := read(files); err == nil || !strings.Contains(err.Error(), `"k"`) {
		t.Errorf("got %v", err)
	}
}

func TestACheckThatCannotRunIsNoCheckThatPassed(t *testing.T) {
	const head = "id,model,inputs,what,unit,published,tolerance,source,note\n"
	models := map[string]Model{"twice": func(in Inputs) float64 { return 2 * in.Float("x") }}
	for name, row := range map[string]string{
		"unknown model":  "a,thrice,x=1,w,u,2,0.1,practice,\n",
		"unknown source": "a,twice,x=1,w,u,2,0.1,nobody,\n",
		"no number":      "a,twice,x=1,w,u,two,0.1,practice,\n",
		"bad input":      "a,twice,x,w,u,2,0.1,practice,\n",
	} {
		files := fstest.MapFS{"p/c.csv": {Data: []byte(head + row)}}
		if _, err := ReadChecks("room", files, "p", models); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	files := fstest.MapFS{"p/c.csv": {Data: []byte(head + "a,twice,x=1,w,u,2,0.1,practice,\nb,twice,x=2,w,u,2,0.1,practice,\n")}}
	checks, err := ReadChecks("room", files, "p", models)
	if err != nil || len(checks) != 2 || !checks[0].Pass() || checks[1].Pass() {
		t.Errorf("got %+v, %v", checks, err)
	}
}
